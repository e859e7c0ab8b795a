"""A proxy between a tablet and the service that spoils the connection on demand: replies cut after the commit, late, or nothing at all."""

import asyncio
import re
import threading
from collections.abc import Callable
from dataclasses import dataclass, field

_REQUEST = re.compile(rb"^(GET|POST|PUT|PATCH|DELETE|HEAD) (\S+) HTTP/1\.1\r\n", re.MULTILINE)


@dataclass
class CuttingProxy:
    """Listens on a port of its own and passes bytes on to the service.

    ``spoil(method, path)`` is asked for each request; where it answers True the request reaches the service and is
    answered there, and the connection is closed without a byte of that answer: the tablet cannot know what became of it.
    """

    upstream_port: int
    port: int = 0
    spoil: Callable[[str, str], bool] = field(default=lambda _method, _path: False)
    cut: list[str] = field(default_factory=list)
    """Method and path of every request whose answer was cut."""
    late_s: Callable[[str], float] = field(default=lambda _path: 0.0)
    """By how much the answer to a path is held up, as by a service that reckons for so long."""
    held: list[str] = field(default_factory=list)
    """Paths whose answers are held up now."""

    def start(self) -> None:
        """Listen from a thread of its own."""
        ready = threading.Event()
        self._loop = asyncio.new_event_loop()

        async def listen() -> None:
            server = await asyncio.start_server(self._serve, "127.0.0.1", self.port)
            self.port = server.sockets[0].getsockname()[1]
            self._server = server
            ready.set()

        def run() -> None:
            self._loop.create_task(listen())
            self._loop.run_forever()

        self._thread = threading.Thread(target=run, daemon=True)
        self._thread.start()
        assert ready.wait(10)

    def stop(self) -> None:
        """Close every connection."""

        async def shut() -> None:
            self._server.close()
            tasks = [task for task in asyncio.all_tasks() if task is not asyncio.current_task()]
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)

        asyncio.run_coroutine_threadsafe(shut(), self._loop).result(10)
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(10)
        self._loop.close()

    @property
    def address(self) -> str:
        """Where the tablet finds the service."""
        return f"http://127.0.0.1:{self.port}"

    async def _hold(self, path: str) -> None:
        if late_s := self.late_s(path):
            self.held.append(path)
            try:
                await asyncio.sleep(late_s)
            finally:
                self.held.remove(path)

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            up_reader, up_writer = await asyncio.open_connection("127.0.0.1", self.upstream_port)
        except OSError:  # the service is off: the tablet sees a closed connection
            writer.close()
            return
        spoilt = asyncio.Event()
        asked_last = ""

        async def to_service() -> None:
            nonlocal asked_last
            while data := await reader.read(65536):
                for method, path in _REQUEST.findall(data):
                    asked = (method.decode(), path.decode())
                    asked_last = asked[1]
                    if self.spoil(*asked):
                        self.cut.append(" ".join(asked))
                        spoilt.set()
                up_writer.write(data)
                await up_writer.drain()

        async def to_tablet() -> None:
            nonlocal asked_last
            while data := await up_reader.read(65536):
                if spoilt.is_set():  # the service has answered, so what it was told is on its disk
                    return
                await self._hold(asked_last)
                asked_last = ""  # the rest of an answer follows its beginning at once
                writer.write(data)
                await writer.drain()

        ways = [asyncio.create_task(to_service()), asyncio.create_task(to_tablet())]
        try:
            await asyncio.wait(ways, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for way in ways:
                way.cancel()
            await asyncio.gather(*ways, return_exceptions=True)
            for end in (writer, up_writer):
                end.close()
