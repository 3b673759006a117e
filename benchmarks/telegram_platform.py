"""A messenger platform that costs next to nothing: it answers bots on loopback and notes when each reply left them.

Only for measuring speed; whether the bot behaves is checked in tests/bot/telegram_bench against a server that is
not ours. The round trip is added before each answer, so that the bot sees it on every call.
"""

from __future__ import annotations

import asyncio
import json
import time
import urllib.parse
from collections import deque
from dataclasses import dataclass, field
from typing import Any

TO_PEOPLE = {"sendMessage", "sendPhoto", "sendDocument", "sendVoice"}


@dataclass
class Platform:
    """Hands out what was offered and keeps times; all times are of the monotonic clock."""

    delay_s: float = 0.0
    waiting: deque[dict[str, Any]] = field(default_factory=deque)
    unconfirmed: list[dict[str, Any]] = field(default_factory=list)
    handed: dict[int, deque[float]] = field(default_factory=dict)
    """When each update of a chat left for the bot, oldest first, until its reply comes."""
    latencies: list[tuple[int, float]] = field(default_factory=list)
    """Chat, and seconds from an update reaching the bot to the reply leaving it."""
    replies: list[tuple[float, int]] = field(default_factory=list)
    polled: int = 0
    next_update: int = 1
    port: int = 0

    def __post_init__(self) -> None:
        self.new = asyncio.Event()

    async def start(self) -> None:
        """Listen on a free port."""
        loop = asyncio.get_running_loop()
        server = await loop.create_server(lambda: _Connection(self), "127.0.0.1", 0)
        self._server = server
        self.port = server.sockets[0].getsockname()[1]

    def stop(self) -> None:
        """Stop listening."""
        self._server.close()

    def forget(self) -> None:
        """Begin a new measurement on the same bot."""
        self.handed.clear()
        self.latencies.clear()
        self.replies.clear()

    def offer(self, chat: int, text: str) -> None:
        """A person sends a text."""
        now = int(time.time())
        message = {
            "message_id": self.next_update, "date": now, "text": text,
            "chat": {"id": chat, "type": "private", "first_name": f"P{chat}"},
            "from": {"id": chat, "is_bot": False, "first_name": f"P{chat}"},
        }  # fmt: skip
        self.waiting.append({"update_id": self.next_update, "message": message})
        self.next_update += 1
        self.new.set()

    @property
    def open(self) -> int:
        """Updates that were offered and not replied to."""
        return len(self.waiting) + sum(len(each) for each in self.handed.values())

    async def answer(self, method: str, fields: dict[str, str]) -> Any:
        """What the platform says to one call."""
        arrived = time.monotonic()
        if method in TO_PEOPLE:
            chat = int(fields["chat_id"])
            self.replies.append((arrived, chat))
            if sent := self.handed.get(chat):
                self.latencies.append((chat, arrived - sent.popleft()))
            result: Any = {"message_id": len(self.replies) + 10**6, "date": int(time.time()), "text": fields.get("text"),
                           "chat": {"id": chat, "type": "private"}}  # fmt: skip
        elif method == "getUpdates":
            return await self._updates(fields)
        elif method == "getMe":
            result = {"id": 7, "is_bot": True, "first_name": "Bench", "username": "bench_bot"}
        else:
            result = True
        if self.delay_s:
            await asyncio.sleep(self.delay_s)
        return result

    async def _updates(self, fields: dict[str, str]) -> list[dict[str, Any]]:
        self.polled += 1
        offset = int(fields.get("offset") or 0)
        self.unconfirmed = [each for each in self.unconfirmed if each["update_id"] >= offset]
        until = time.monotonic() + float(fields.get("timeout") or 0)
        while not self.waiting and not self.unconfirmed and (left := until - time.monotonic()) > 0:
            self.new.clear()
            try:
                await asyncio.wait_for(self.new.wait(), left)
            except TimeoutError:
                break
        while self.waiting and len(self.unconfirmed) < 100:
            self.unconfirmed.append(self.waiting.popleft())
        if self.delay_s:
            await asyncio.sleep(self.delay_s)
        now = time.monotonic()
        for update in self.unconfirmed:
            if update["update_id"] >= offset and "handed" not in update:
                update["handed"] = now
                self.handed.setdefault(update["message"]["chat"]["id"], deque()).append(now)
        return [{key: value for key, value in each.items() if key != "handed"} for each in self.unconfirmed]


class _Connection(asyncio.Protocol):
    """HTTP/1.1 as bots speak it: keep-alive, bodies with a length, one call at a time."""

    def __init__(self, platform: Platform) -> None:
        self._platform = platform
        self._got = b""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport

    def data_received(self, data: bytes) -> None:
        self._got += data
        head, gap, rest = self._got.partition(b"\r\n\r\n")
        if not gap:
            return
        length, json_body = 0, False
        for line in head.split(b"\r\n")[1:]:
            name, _, value = line.partition(b":")
            if name.lower() == b"content-length":
                length = int(value)
            elif name.lower() == b"content-type":
                json_body = b"json" in value
        if len(rest) < length:
            return
        body, self._got = rest[:length], rest[length:]
        method = head.split(b" ", 2)[1].decode().rpartition("/")[2].partition("?")[0]
        if json_body:
            fields = json.loads(body)
        else:
            fields = {name: value[0] for name, value in urllib.parse.parse_qs(body.decode("utf-8", "replace")).items()}
        self._replying = asyncio.ensure_future(self._reply(method, fields))

    async def _reply(self, method: str, fields: dict[str, str]) -> None:
        result = await self._platform.answer(method, fields)
        body = json.dumps({"ok": True, "result": result}).encode()
        if not self._transport.is_closing():
            self._transport.write(
                b"HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n" % len(body) + body
            )
