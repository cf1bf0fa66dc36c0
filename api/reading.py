"""A route that refuses text which no database of ours keeps, in one place for all."""

import re
from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import Request, Response
from fastapi.routing import APIRoute

from vouchbook.api.problems import BadRequestError

_NUL_IN_JSON = re.compile(rb"(?<!\\)(?:\\\\)*\\u0000")
"""As JSON writes the character NUL; PostgreSQL keeps none, and what is kept must fit both databases."""


class Route(APIRoute):
    """A route whose requests hold no NUL in path, query or JSON."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler, with that look before it."""
        handle = super().get_route_handler()

        async def looked_at(request: Request) -> Response:
            is_json = request.headers.get("content-type", "").split(";")[0].strip().lower() == "application/json"
            if (
                "\0" in request.url.path
                or "%00" in request.url.query
                or "\0" in "".join(map(str, request.path_params.values()))
            ):
                raise BadRequestError("The address holds a character that no text has. Leave it out.")
            if is_json and _NUL_IN_JSON.search(await request.body()):
                raise BadRequestError("The text holds a character that no text has. Leave it out.")
            return await handle(request)

        return looked_at
