"""Small answers on a connection that is kept open leave at once."""

import asyncio
import socket

from orchardmap.cli.listening import bound
from own_loop import run_apart


def test_accepted_connections_hold_no_small_answer_back():
    """Nagle's algorithm and a client's delayed acknowledgement together cost 40 ms an answer; asyncio turns it off where the listener is named TCP."""

    async def accepted() -> int:
        told: asyncio.Future[int] = asyncio.get_running_loop().create_future()

        def answer(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            of = writer.get_extra_info("socket")
            told.set_result(of.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        listener = bound("127.0.0.1", 0)
        async with await asyncio.start_server(answer, sock=listener) as server:
            _, writer = await asyncio.open_connection(*server.sockets[0].getsockname()[:2])
            found = await told
            writer.close()
            return found

    assert run_apart(accepted()) != 0
