"""The rooms stand at the top of the tree and are installed under one name; four lists must agree on them."""

import ast
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from importlib.metadata import requires
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]
HOUSE = ("pyproject.toml", "README.md", "LICENSE")


@pytest.fixture(scope="module")
def project() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def rooms() -> set[str]:
    """The folders at the top of the tree that are packages."""
    return {path.parent.name for path in ROOT.glob("*/__init__.py")}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory, rooms: set[str]) -> Path:
    """The wheel, built from a copy in which the links are text files, as in a clone without symbolic links."""
    tree = tmp_path_factory.mktemp("clone")
    for name in HOUSE:
        shutil.copy(ROOT / name, tree)
    for room in rooms:
        shutil.copytree(ROOT / room, tree / room, ignore=shutil.ignore_patterns("__pycache__"))
    (tree / "src/vouchbook").mkdir(parents=True)
    for path in (ROOT / "src/vouchbook").iterdir():
        if path.is_symlink():
            (tree / "src/vouchbook" / path.name).write_text(str(path.readlink()), encoding="utf-8")
        elif path.is_file():
            shutil.copy(path, tree / "src/vouchbook")
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--no-index"]
    subprocess.run([*command, "--wheel-dir", str(tree / "dist"), str(tree)], check=True, timeout=300)
    (built,) = (tree / "dist").glob("*.whl")
    return built


def test_rooms_links_mapping_and_wheel_list_agree(project: dict[str, Any], rooms: set[str]) -> None:
    target = project["tool"]["hatch"]["build"]["targets"]["wheel"]
    links = {path.name: str(path.readlink()) for path in (ROOT / "src/vouchbook").iterdir() if path.is_symlink()}
    assert rooms
    assert links == {room: f"../../{room}" for room in rooms}
    assert target["sources"] == {"src/vouchbook": "vouchbook"} | {room: f"vouchbook/{room}" for room in rooms}
    own = {f"src/vouchbook/{name}" for name in ("__init__.py", "__main__.py", "py.typed")}
    assert set(target["only-include"]) == rooms | own


def test_every_room_has_its_layer_and_its_import_ban(project: dict[str, Any], rooms: set[str]) -> None:
    contract = project["tool"]["importlinter"]["contracts"][0]
    layers = {layer.strip("()") for layer in contract["layers"]}
    assert contract["exhaustive"] is True
    assert rooms <= layers
    assert set(project["tool"]["ruff"]["lint"]["flake8-tidy-imports"]["banned-api"]) == rooms


def test_the_wheel_holds_every_file_of_the_rooms_and_nothing_else(wheel: Path, rooms: set[str]) -> None:
    expected = {f"vouchbook/{name}" for name in ("__init__.py", "__main__.py", "py.typed")}
    for room in rooms:
        files = (path for path in (ROOT / room).rglob("*") if path.is_file() and "__pycache__" not in path.parts)
        expected |= {f"vouchbook/{path.relative_to(ROOT).as_posix()}" for path in files}
    names = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert names == expected
    assert "vouchbook/extract/packs/common.toml" in names
    assert any(name.endswith(".npz") for name in names)


def test_the_wheel_passes_the_contents_check(wheel: Path) -> None:
    checker = Path(sys.executable).with_name("check-wheel-contents")
    done = subprocess.run([checker, wheel], check=False, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_wheel_carries_its_licence_and_its_command(wheel: Path) -> None:
    archive = zipfile.ZipFile(wheel)
    (licence,) = (name for name in archive.namelist() if name.endswith("licenses/LICENSE"))
    assert archive.read(licence) == (ROOT / "LICENSE").read_bytes()
    (entry_points,) = (name for name in archive.namelist() if name.endswith("entry_points.txt"))
    assert b"vouchbook = vouchbook.cli.main:main" in archive.read(entry_points)


@pytest.mark.parametrize("name", ["run.txt", "dev.txt"])
def test_requirements_are_pinned_and_hashed_and_name_no_place(name: str) -> None:
    text = (ROOT / "requirements" / name).read_text(encoding="utf-8")
    assert "://" not in text
    text = re.sub(r"^#.*\n", "", text, flags=re.MULTILINE)
    entries = re.split(r"\n(?=[a-z])", text.strip())
    assert len(entries) > 30
    for entry in entries:
        assert re.match(r"[a-z0-9-]+==[^ ]+( ;[^\\]+)? \\\n", entry), entry
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", entry), entry
    assert not re.search(r"--|@ ", re.sub("--hash", "", text))
    names = {entry.split("==")[0] for entry in entries}
    assert not {found for found in names if found.startswith(("torch", "nvidia", "tensorflow"))}


def test_both_lists_pin_the_same_versions() -> None:
    def pins(name: str) -> set[str]:
        text = (ROOT / "requirements" / name).read_text(encoding="utf-8")
        return set(re.findall(r"^[a-z0-9-]+==[^ ]+(?: ;[^\\]+)?", text, flags=re.MULTILINE))

    assert pins("run.txt") < pins("dev.txt")


def test_everything_that_the_project_asks_for_is_pinned(project: dict[str, Any]) -> None:
    """A dependency added to pyproject.toml without `requirements/pin.sh` would be missing on a new machine."""
    asked = {"run.txt": [*project["project"]["dependencies"], *project["project"]["optional-dependencies"]["weights"]]}
    asked["dev.txt"] = [*asked["run.txt"], *project["project"]["optional-dependencies"]["dev"]]
    for name, wanted in asked.items():
        pinned = set(
            re.findall(r"^([a-z0-9-]+)==", (ROOT / "requirements" / name).read_text(encoding="utf-8"), re.MULTILINE)
        )
        assert {re.split(r"[^a-z0-9-]", requirement)[0] for requirement in wanted} <= pinned


def test_every_import_is_a_dependency_and_every_dependency_is_imported(
    project: dict[str, Any], rooms: set[str]
) -> None:
    """Relying on a dependency of a dependency breaks on the day that it lets go of it."""
    imported: dict[str, str] = {}
    for path in (path for room in rooms for path in (ROOT / room).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            modules = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            modules += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            imported |= {module.split(".")[0]: str(path.relative_to(ROOT)) for module in modules}
    ours = {"vouchbook", *sys.stdlib_module_names}
    asked = {re.split(r"[^a-z0-9-]", wanted)[0].replace("-", "_") for wanted in project["project"]["dependencies"]}
    assert {name: path for name, path in imported.items() if name not in ours | asked} == {}
    assert asked - set(imported) == set()


def test_installed_metadata_asks_for_what_the_project_asks_for(project: dict[str, Any]) -> None:
    installed = {re.split(r"[^A-Za-z0-9-]", entry)[0] for entry in requires("vouchbook") or ()}
    assert {re.split(r"[^a-z0-9-]", entry)[0] for entry in project["project"]["dependencies"]} <= installed
