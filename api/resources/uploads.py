"""Files that arrive in parts and go on where the line broke: begin, send parts, finish with the hash of the whole."""

import binascii
import re
from base64 import b64decode
from hashlib import sha256
from typing import Annotated

from fastapi import APIRouter, Header, Path, Request, Response
from fastapi.concurrency import run_in_threadpool
from pydantic import Field

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.problems import BadRequestError
from vouchbook.api.reading import Route
from vouchbook.api.settings import PREFIX
from vouchbook.library.uploads.uploads import LARGEST, LONGEST_PART, Upload, begin, drop, finish, receive, upload
from vouchbook.models.record import Record
from vouchbook.models.visits import MediumRole

router = APIRouter(prefix="/uploads", tags=["uploads"], route_class=Route)

Key = Annotated[str, Path(pattern=r"^[0-9a-f-]{36}$")]
Offset = Annotated[int, Header(alias="Upload-Offset", ge=0, le=LARGEST, description="The byte at which it begins.")]
Digest = Annotated[
    str | None, Header(alias="Content-Digest", description="The hash of this part, `sha-256=:BASE64:` (RFC 9530).")
]
_SHA256 = re.compile(r"(?:^|,)\s*sha-256=:([A-Za-z0-9+/=]+):")
_PART = {
    "required": True,
    "content": {
        "application/octet-stream": {"schema": {"type": "string", "format": "binary", "maxLength": LONGEST_PART}}
    },
}


class WantedUpload(Record):
    """A file to send. ``name`` is for people: it is never a path."""

    name: str = Field(min_length=1, max_length=1000)
    size_bytes: int = Field(ge=1, le=LARGEST)


class WholeFile(Record):
    """The hash of the whole file as the sender has it, and what the file is to which visit."""

    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    visit_id: int = Field(ge=1, le=2**63 - 1)
    role: MediumRole


@router.post("", summary="Begin an upload", status_code=201, responses=problems(409))
def post_upload(wanted: WantedUpload, who: Who, library: LibraryOf, response: Response) -> Upload:
    """By an officer or archivist. It is kept for three days after its last part."""
    begun = begin(library, who.actor, wanted.name, wanted.size_bytes)
    response.headers["location"] = f"{PREFIX}/uploads/{begun.key}"
    return begun


@router.get("/{key}", summary="See where an upload goes on", responses=problems(404))
def get_upload(key: Key, who: Who, library: LibraryOf) -> Upload:
    """``received_bytes`` is the byte at which the next part begins."""
    with library.reading() as session:
        return upload(session, who.actor, key)


@router.patch(
    "/{key}", summary="Send the next part", responses=problems(404, 409), openapi_extra={"requestBody": _PART}
)
async def patch_upload(
    key: Key, request: Request, who: Who, library: LibraryOf, offset: Offset, digest: Digest = None
) -> Upload:
    """At most 16 MiB. When this answers, the part is on the disk; an offset that is not the next byte is refused."""
    part = await request.body()
    if digest is not None:
        _check(part, digest)
    return await run_in_threadpool(receive, library, who.actor, key, offset, part)


@router.post("/{key}/finish", summary="Finish an upload", responses=problems(404, 409))
def post_finish(key: Key, whole: WholeFile, who: Who, library: LibraryOf) -> Upload:
    """Takes the file in as part of a visit, if it has that hash; if not, what arrived stays. Again is safe."""
    return finish(library, who.actor, key, whole.sha256, whole.visit_id, whole.role)[0]


@router.delete("/{key}", summary="Drop an upload", status_code=204, responses=problems(404))
def delete_upload(key: Key, who: Who, library: LibraryOf) -> None:
    """Forgets it and what came of it; a file that was taken in stays."""
    drop(library, who.actor, key)


def _check(part: bytes, digest: str) -> None:
    match = _SHA256.search(digest)
    try:
        given = b64decode(match.group(1), validate=True) if match else b""
    except binascii.Error:
        given = b""
    if given != sha256(part).digest():
        raise BadRequestError("The part is not what its Content-Digest says, or that has no sha-256. Send it again.")
