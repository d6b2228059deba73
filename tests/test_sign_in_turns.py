"""Tries to sign in never hold all threads that answer pages: counted, not timed."""

import asyncio
import io
import threading

import pytest

from paddock import sign_in_turns
from paddock.sign_in_turns import THREADS
from paddock.truncated_bodies import CompleteRequests, pass_complete_request

SIGN_IN = "/sign-in/"


@pytest.fixture(autouse=True)
def _own_turns(monkeypatch):
    monkeypatch.setattr(sign_in_turns, "_turn", asyncio.Lock())
    monkeypatch.setattr(sign_in_turns, "_threads", threading.BoundedSemaphore(THREADS))


class Pages:
    """Pages that answer when they are let: counts how many tries are inside at once."""

    def __init__(self) -> None:
        self.inside = self.most = self.tries = self.others = 0
        self.may_end = asyncio.Event()

    async def __call__(self, scope, _receive, send):
        if scope["method"] == "POST" and scope["path"] == SIGN_IN:
            self.inside += 1
            self.tries += 1
            self.most = max(self.most, self.inside)
            await self.may_end.wait()
            self.inside -= 1
        else:
            self.others += 1
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"a page"})


async def ask(pages, method="POST", path=SIGN_IN) -> int:
    said = []

    async def receive():
        return {"type": "http.request", "body": b"a=b", "more_body": False}

    async def send(message):
        said.append(message)

    headers = [(b"content-length", b"3")]
    scope = {"type": "http", "method": method, "path": path, "headers": headers}
    await pass_complete_request(pages, scope, receive, send)
    return said[0]["status"]


def test_of_eight_tries_one_is_passed_on_at_a_time_and_pages_go_past_them():
    async def played():
        pages = Pages()
        tries = [asyncio.create_task(ask(pages)) for _ in range(8)]
        while not pages.inside:
            await asyncio.sleep(0)
        assert [await ask(pages, "GET", "/day/1/"), await ask(pages, "GET")] == [200, 200]
        assert (pages.inside, pages.others) == (1, 2)
        pages.may_end.set()
        return pages, await asyncio.gather(*tries)

    pages, statuses = asyncio.run(played())
    assert (pages.most, pages.tries, statuses) == (1, 8, [200] * 8)


def test_whoever_waits_too_long_is_asked_to_try_again(monkeypatch):
    monkeypatch.setattr(sign_in_turns, "LONGEST_WAIT_S", 0.01)

    async def played():
        pages = Pages()
        first = asyncio.create_task(ask(pages))
        while not pages.inside:
            await asyncio.sleep(0)
        late = await ask(pages)
        pages.may_end.set()
        return await first, late, await ask(pages)

    assert asyncio.run(played()) == (200, 503, 200)


def test_of_a_wsgi_servers_threads_two_at_most_are_given_to_tries():
    inside, may_end = threading.Semaphore(0), threading.Event()

    def pages(environ, start_response):
        if environ["PATH_INFO"] == SIGN_IN:
            inside.release()
            assert may_end.wait(timeout=30)
        start_response("200 OK", [])
        return [b"a page"]

    application = CompleteRequests(pages)

    def ask_one(path=SIGN_IN):
        said = []
        environ = {
            "REQUEST_METHOD": "POST", "PATH_INFO": path, "CONTENT_LENGTH": "3",
            "wsgi.input": io.BytesIO(b"a=b"),
        }  # fmt: skip
        body = b"".join(application(environ, lambda status, headers: said.append(status)))
        return said[0], body

    threads = [threading.Thread(target=ask_one) for _ in range(THREADS)]
    for thread in threads:
        thread.start()
        assert inside.acquire(timeout=30)
    status, words = ask_one()
    assert (status, b"try again in a few seconds" in words) == ("503 Service Unavailable", True)
    assert ask_one("/theme/")[0] == "200 OK"
    may_end.set()
    for thread in threads:
        thread.join()
    assert ask_one()[0] == "200 OK"
