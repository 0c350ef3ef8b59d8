"""Sensors' tasks ended as the program does, and servers that end with nothing left open."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager

Serve = Callable[[asyncio.StreamReader, asyncio.StreamWriter], Awaitable[None]]


async def stopped(task: "asyncio.Future[None]") -> None:
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)


@asynccontextmanager
async def serving(serve: Serve) -> AsyncIterator[str]:
    """Serve on the loopback; give ``HOST:NUMBER``; wait at the end until all have hung up."""
    under_way: set[asyncio.Task[None] | None] = set()

    async def tracked(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        under_way.add(asyncio.current_task())
        try:
            await serve(reader, writer)
        finally:
            writer.close()

    server = await asyncio.start_server(tracked, "127.0.0.1", 0)
    async with server:
        yield f"127.0.0.1:{server.sockets[0].getsockname()[1]}"
        await asyncio.wait_for(asyncio.gather(*(task for task in under_way if task)), 10)
