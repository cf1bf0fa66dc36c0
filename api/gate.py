"""What stands before every request: the host that it names, its size, and headers that every answer carries."""

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from vouchbook.api.problems import BadRequestError, TooLargeError, answer, problem_of
from vouchbook.api.settings import PREFIX, ServerSettings
from vouchbook.library.uploads.uploads import LONGEST_PART

_PARTS = f"{PREFIX}/uploads/"
_ALWAYS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
"""What recordings show and people decide is for nobody else, and nothing that was uploaded runs in a browser."""


class Gate:
    """ASGI middleware around the application."""

    def __init__(self, app: ASGIApp, settings: ServerSettings) -> None:
        self.app, self.settings = app, settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Lets a request through, or answers it with a problem."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refused = self._refused(scope, headers)
        if refused is not None:
            await answer(problem_of(refused))(scope, receive, send)
            return
        most = LONGEST_PART if scope["path"].startswith(_PARTS) else self.settings.largest_body_bytes
        body = _Counted(receive, most)

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                told = MutableHeaders(scope=message)
                for name, value in _ALWAYS.items():
                    told.setdefault(name, value)
            await send(message)

        await self.app(scope, body, with_headers)

    def _refused(self, scope: Scope, headers: Headers) -> BadRequestError | TooLargeError | None:
        host = headers.get("host", "")
        name = host if host.endswith("]") else host.rsplit(":", 1)[0] if ":" in host else host
        if name.lower() not in self.settings.hosts:
            return BadRequestError("This server is not known by that name. Call it by one that it was given.")
        length = headers.get("content-length")
        most = LONGEST_PART if scope["path"].startswith(_PARTS) else self.settings.largest_body_bytes
        if length is not None and (not length.isascii() or not length.isdigit() or int(length[:20]) > most):
            return TooLargeError(f"A request has at most {most} bytes here. Send less at once.")
        return None


class _Counted:
    """The body as it arrives; one that says nothing of its length must end as well."""

    def __init__(self, receive: Receive, most: int) -> None:
        self.receive, self.most, self.seen = receive, most, 0

    async def __call__(self) -> Message:
        message = await self.receive()
        self.seen += len(message.get("body", b""))
        if self.seen > self.most:
            raise TooLargeError(f"A request has at most {self.most} bytes here. Send less at once.")
        return message
