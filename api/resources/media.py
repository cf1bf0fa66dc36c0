"""Recordings, stills and other files, by their SHA-256, also in parts (ranges by RFC 9110)."""

from typing import Annotated

from fastapi import APIRouter, Path, Request, Response
from fastapi.responses import FileResponse

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.versions import is_known
from vouchbook.library.keeping.removal import medium_for, show

router = APIRouter(prefix="/media", tags=["media"], route_class=Route)

_ANY = "application/octet-stream"
_SHOWN = frozenset({"image/png", "image/jpeg", "image/webp", "image/gif"})
"""Beside sound and film. All else is handed out to be saved: a page or drawing that was uploaded could run scripts."""

Sha256 = Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]
_WHOLE = {"description": "The whole file.", "content": {_ANY: {"schema": {"type": "string", "format": "binary"}}}}
_RESPONSES = {
    **problems(404, 410),
    200: _WHOLE,
    206: _WHOLE | {"description": "The ranges that were asked for."},
    304: {"description": "The client has it already."},
    416: {"description": "The file has no such range."},
}


@router.head("/{sha256}", include_in_schema=False)
@router.get("/{sha256}", summary="Play or fetch a file", response_class=FileResponse, responses=_RESPONSES)
def get_medium(sha256: Sha256, who: Who, library: LibraryOf, request: Request) -> Response:
    """The file, or the ranges of it that ``Range`` asks for. It never changes: its ETag is its hash.

    What is hidden since somebody withdrew their consent is for those who keep the library.
    """
    with library.reading() as session:
        media_type = medium_for(session, sha256, who.actor.roles).media_type
    library.media.open(sha256).close()
    is_played = media_type in _SHOWN or media_type.startswith(("audio/", "video/"))
    headers = {
        "etag": f'"{sha256}"',
        "cache-control": "private, no-cache",  # who lost their sign-in must not find it in the browser
        "content-disposition": "inline" if is_played else "attachment",
        "content-security-policy": "sandbox; default-src 'none'",
    }
    if is_known(request, headers["etag"]):
        return Response(status_code=304, headers=headers)
    return FileResponse(library.media.path(sha256), media_type=media_type if is_played else _ANY, headers=headers)


@router.delete("/{sha256}/hiding", summary="Show a hidden file again", status_code=204, responses=problems(404, 409))
def delete_hiding(sha256: Sha256, who: Who, library: LibraryOf) -> None:
    """By an archivist or administrator, when whoever is in it agrees again."""
    with library.work(who.actor) as work:
        show(work, sha256)
