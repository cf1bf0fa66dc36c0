"""``vouchbook serve``: the library over HTTP, for the browsers and scripts of the office."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import MediaFolder, Where, opened
from vouchbook.cli.plain import say

if TYPE_CHECKING:
    from socket import socket

NAME = "serve"
SUMMARY = "Serve the library over HTTP."
HELP = """Serve the library over HTTP and do its background work, until Ctrl-C.

Only this machine can reach it, unless --address says otherwise; then put a server in front that speaks HTTPS, name it
with --host and give --https. Add the first person with `vouchbook people` before. Backups and exports over HTTP go into
the folder --exports, under names that the server gives; all servers of one library need the same. Without it there are
none.

\b
Examples:
  vouchbook serve
  vouchbook serve --library postgresql://vouchbook@db/vouchbook --media /srv/media
  vouchbook serve --exports /srv/exports
  vouchbook serve --address 0.0.0.0 --host library.example.org --https
"""
_STOPS_WITHIN_S = 10


def run(
    address: Annotated[str, typer.Option("--address", metavar="IP", help="Where to listen.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", metavar="N", min=0, max=65535, help="0 takes a free one.")] = 8321,
    host: Annotated[
        list[str] | None,
        typer.Option("--host", metavar="NAME", help="A name by which browsers may call it; repeat for more."),
    ] = None,
    https: Annotated[
        bool, typer.Option("--https", help="Browsers reach it by HTTPS, through a server in front.")
    ] = False,
    work: Annotated[bool, typer.Option("--work/--no-work", help="Whether this server does background work.")] = True,
    exports: Annotated[
        Path | None,
        typer.Option("--exports", metavar="FOLDER", help="Where backups and exports go that are asked for over HTTP."),
    ] = None,
    library: Where = None,
    media: MediaFolder = None,
) -> None:
    """Serves until it is interrupted; the first line says where."""
    import gc
    import logging

    import uvicorn

    from vouchbook.api.app import make_app
    from vouchbook.api.settings import LOOPBACK, PREFIX, ServerSettings
    from vouchbook.library.queue.kinds import kinds_of
    from vouchbook.library.queue.workers import worker_of

    names = tuple(dict.fromkeys([*LOOPBACK, *(name.lower() for name in host or ())]))
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    with opened(library, media, may_make=True) as kept:
        folder = exports.expanduser().absolute() if exports else None
        settings = ServerSettings(hosts=names, is_https=https, exports=folder)
        app = make_app(kept, settings, worker_of(kept, kinds_of(folder)) if work else None)
        config = uvicorn.Config(
            app,
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=https,  # the address for the limits comes from the server in front
            timeout_graceful_shutdown=_STOPS_WITHIN_S,
        )
        listening = listening_at(address, port)
        with listening:
            say(f"http://{_shown(address)}:{listening.getsockname()[1]}{PREFIX}")
            gc.freeze()  # what is loaded stays: looking through it for rubbish cost a request 80 ms
            uvicorn.Server(config).run(sockets=[listening])


def listening_at(address: str, port: int) -> "socket":
    """A socket that listens there.

    Raises:
        SettingError: somebody else does, or this machine has no such address.
    """
    from socket import AF_INET, AF_INET6, IPPROTO_TCP, SO_REUSEADDR, SOCK_STREAM, SOL_SOCKET, socket

    from vouchbook.models.errors import SettingError

    # asyncio sends small answers at once only where a socket names its protocol; otherwise each waits some 40 ms
    made = socket(AF_INET6 if ":" in address else AF_INET, SOCK_STREAM, IPPROTO_TCP)
    try:
        made.setsockopt(SOL_SOCKET, SO_REUSEADDR, 1)
        made.bind((address, port))
        made.listen(128)
    except OSError as error:
        made.close()
        raise SettingError(
            f"--address {address} --port {port}: cannot listen there ({error.strerror or error}). Give others."
        ) from error
    return made


def _shown(address: str) -> str:
    return f"[{address}]" if ":" in address else address
