"""The socket that the server listens at."""

import asyncio
from socket import IPPROTO_TCP, TCP_NODELAY, socket

from vouchbook.cli.serve import listening_at


def test_small_answers_are_sent_at_once() -> None:
    """Otherwise each of several requests in a row waits for what TCP holds back (RFC 896, Nagle)."""

    async def sends_at_once(listening: socket) -> bool:
        accepted = asyncio.Future[bool]()

        def look(_reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            accepted.set_result(bool(writer.get_extra_info("socket").getsockopt(IPPROTO_TCP, TCP_NODELAY)))
            writer.close()

        async with await asyncio.start_server(look, sock=listening):
            _, writer = await asyncio.open_connection(*listening.getsockname())
            writer.close()
            return await accepted

    assert asyncio.run(sends_at_once(listening_at("127.0.0.1", 0)))
