"""Many browsers in one process: opens streams, says "open", and on a line from its input
prints what each heard and when, as JSON ``[[revision, monotonic seconds], ...]``."""

import asyncio
import json
import sys
import time


async def listen(port: int, path: str, cookie: str, heard: list[tuple[int, float]]) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    lines = [f"GET {path} HTTP/1.1", "Host: 127.0.0.1", "Accept: text/event-stream"]
    writer.write("\r\n".join([*lines, f"Cookie: {cookie}", "", ""]).encode())
    await writer.drain()
    if b" 200 " not in await reader.readline():
        raise ConnectionError("refused")
    await reader.readuntil(b"data: ")
    asyncio.current_task().set_name("open")  # type: ignore[union-attr]
    while line := await reader.readline():
        if line.startswith(b"data: "):
            heard.append((int(line[6:]), time.monotonic()))


async def main(port: str, path: str, cookie: str, count: str) -> None:
    heard: list[tuple[int, float]] = []
    streams = []
    for _ in range(int(count)):
        streams.append(asyncio.create_task(listen(int(port), path, cookie, heard)))
        await asyncio.sleep(0.005)
    while any(stream.get_name() != "open" for stream in streams):
        for stream in streams:
            if stream.done():
                stream.result()  # raises what kept it from opening
                raise ConnectionError("closed")
        await asyncio.sleep(0.05)
    print("open", flush=True)
    await asyncio.to_thread(sys.stdin.readline)
    print(json.dumps(heard), flush=True)
    for stream in streams:
        stream.cancel()


if __name__ == "__main__":
    asyncio.run(main(*sys.argv[1:]))
