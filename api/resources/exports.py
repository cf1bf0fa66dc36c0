"""Backups, bags that go out as archives, and archives that come: made in the background, in one folder."""

from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from fastapi import Path as InPath
from fastapi.responses import FileResponse
from pydantic import Field

from vouchbook.api.caller import LibraryOf, SettingsOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.resources.tasks import announced
from vouchbook.api.resources.uploads import Key
from vouchbook.api.versions import is_known
from vouchbook.library.actor import needs
from vouchbook.library.keeping.archive import look_into
from vouchbook.library.keeping.removal import KEEPERS
from vouchbook.library.queue.exports import Exported, drop_export, exported, leaving, to_fetch
from vouchbook.library.queue.keeping import BACKUP, EXPORT, IMPORT, Arriving
from vouchbook.library.queue.tasks import Task, enqueue
from vouchbook.library.uploads.uploads import path_of, whole
from vouchbook.models.errors import ConflictError, NotFoundError
from vouchbook.models.record import Record

router = APIRouter(tags=["keeping"], route_class=Route)

_ZIP = "application/zip"
_FILE = {"description": "The archive.", "content": {_ZIP: {"schema": {"type": "string", "format": "binary"}}}}
_RESPONSES = {
    **problems(404, 409),
    200: _FILE,
    206: _FILE | {"description": "The ranges that were asked for."},
    304: {"description": "The client has it already."},
    416: {"description": "The archive has no such range."},
}
Name = Annotated[str, InPath(pattern=r"^(library|visit)-[0-9a-f]{16}\.zip$")]


class WantedExport(Record):
    """What is to go out: one visit, or the whole library where none is named."""

    visit_id: int | None = Field(default=None, ge=1, le=2**63 - 1)


class SentArchive(Record):
    """The hash of the archive as the sender has it."""

    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")


def _folder(settings: SettingsOf) -> Path:
    if settings.exports is None:
        raise ConflictError("exports", "this server has no folder for them", "Start it with --exports FOLDER")
    return settings.exports


Folder = Annotated[Path, Depends(_folder)]


@router.post("/backups", summary="Make a backup", status_code=202, responses=problems(409))
def post_backup(who: Who, _folder: Folder, request: Request, library: LibraryOf) -> Task:
    """By an administrator; one that is under way is given again. It takes the place of the one before.

    It stays on the server: nobody fetches it here.
    """
    with library.work(who.actor) as work:
        work.needs("administrator")
        return announced(request, work, enqueue(work, BACKUP, {}, key=BACKUP))


@router.post("/exports", summary="Export a visit or the library", status_code=202, responses=problems(404, 409))
def post_export(wanted: WantedExport, who: Who, _folder: Folder, request: Request, library: LibraryOf) -> Task:
    """As a bag (RFC 8493) in a ZIP archive. The whole library, which holds password hashes, by an administrator."""
    with library.work(who.actor) as work:
        asked = leaving(work, wanted.visit_id).model_dump(mode="json")
        return announced(request, work, enqueue(work, EXPORT, asked, key=f"{EXPORT} {wanted.visit_id or 'library'}"))


@router.get("/exports", summary="List exports", responses=problems(409))
def get_exports(who: Who, folder: Folder, library: LibraryOf) -> tuple[Exported, ...]:
    """The archives that can be fetched, the newest first. By an archivist or administrator."""
    needs(who.actor, *KEEPERS)
    with library.reading() as session:
        return exported(session, folder)


@router.head("/exports/{name}", include_in_schema=False)
@router.get("/exports/{name}", summary="Fetch an export", response_class=FileResponse, responses=_RESPONSES)
def get_export(name: Name, who: Who, folder: Folder, library: LibraryOf, request: Request) -> Response:
    """The archive, or the ranges of it that ``Range`` asks for; its ETag is its SHA-256."""
    with library.reading() as session:
        found = to_fetch(session, folder, who.actor, name)
    headers = {"etag": f'"{found.sha256}"'}
    if is_known(request, headers["etag"]):
        return Response(status_code=304, headers=headers)
    return FileResponse(folder / found.name, media_type=_ZIP, filename=found.name, headers=headers)


@router.delete("/exports/{name}", summary="Delete an export", status_code=204, responses=problems(404, 409))
def delete_export(name: Name, who: Who, folder: Folder, library: LibraryOf) -> None:
    """Deletes the archive; that it was made stays on the record."""
    with library.work(who.actor) as work:
        drop_export(work, folder, name)


@router.post("/uploads/{key}/import", summary="Take in a visit", status_code=202, responses=problems(404, 409))
def post_import(key: Key, sent: SentArchive, who: Who, request: Request, library: LibraryOf) -> Task:
    """The archive of an export of one visit, sent as an upload: looked at here, verified and taken in as a task.

    By an archivist or administrator. The same visit again changes nothing.
    """
    needs(who.actor, *KEEPERS)
    known = whole(library, who.actor, key)
    try:
        with path_of(library, known.key).open("rb") as file:
            look_into(file, known.name)
    except FileNotFoundError:
        raise NotFoundError(f"upload {key}", "its file is not there", "Send it again") from None
    asked = Arriving(key=known.key, name=known.name, sha256=sent.sha256).model_dump(mode="json")
    with library.work(who.actor) as work:
        return announced(request, work, enqueue(work, IMPORT, asked, key=f"{IMPORT} {key}"))
