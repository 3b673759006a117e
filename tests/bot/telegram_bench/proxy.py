"""A proxy in front of the emulator: makes faults as planned, fills the emulator's gaps, and writes down what it saw."""

from __future__ import annotations

import asyncio
import contextlib
import json
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import aiohttp
from aiohttp import web

from tests.bot.telegram_bench.faults import UNANSWERED, Fault
from tests.bot.telegram_bench.markup import complaint

USERNAME = "bench_bot"
# The real service has these; the emulator does not, so the proxy says yes itself.
ANSWERED_HERE: dict[str, Any] = {
    "pinChatMessage": True,
    "unpinChatMessage": True,
    "unpinAllChatMessages": True,
    "leaveChat": True,
    "setMessageReaction": True,
    "setMyDescription": True,
    "setMyShortDescription": True,
}
# Parameters of the real service that the emulator refuses.
UNKNOWN_TO_EMULATOR = {
    "link_preview_options", "protect_content", "message_thread_id", "disable_web_page_preview", "message_effect_id",
    "disable_notification", "allow_paid_broadcast",
}  # fmt: skip
TO_PEOPLE = ("sendMessage", "sendPhoto", "sendDocument", "sendVoice", "editMessageText")


@dataclass
class Call:
    """One call that the bot made: what it asked, when, and what became of it."""

    method: str
    fields: dict[str, Any]
    at: float
    """Seconds of the monotonic clock at which the call had come in whole."""
    files: tuple[str, ...] = ()
    done: bool = False
    """The platform carried it out."""
    answered: bool = False
    """The whole answer was handed to a connection that was still open."""
    status: int = 0
    fault: str | None = None
    result: Any = None
    complaint: str | None = None

    @property
    def chat(self) -> int | None:
        """The chat that it went to, where it went to one."""
        value = self.fields.get("chat_id")
        return None if value is None else int(value)

    @property
    def text(self) -> str:
        """The words shown: text or caption."""
        return str(self.fields.get("text", self.fields.get("caption", "")))

    @property
    def buttons(self) -> dict[str, str]:
        """From the label of each inline button to its data."""
        markup = self.fields.get("reply_markup")
        rows = (json.loads(markup) if isinstance(markup, str) else markup or {}).get("inline_keyboard", [])
        return {button["text"]: button.get("callback_data", "") for row in rows for button in row}


@dataclass
class Proxy:
    """Serves on loopback in a thread of its own; ``calls`` may be read from any thread."""

    upstream: str
    port: int
    delay_s: float = 0.0
    """Added to every answer: the round trip."""
    calls: list[Call] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    edits: dict[int, str] = field(default_factory=dict)
    """Update ids that are handed out as another kind of update, since the emulator takes only messages."""
    file_paths: dict[str, str] = field(default_factory=dict)
    """file_path that getFile gives instead of the emulator's, by file id."""
    confirmed: list[dict[str, Any]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._changed = threading.Condition()
        self._loop = asyncio.new_event_loop()
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()
        if not self._ready.wait(30):
            raise TimeoutError("the proxy did not start")

    @property
    def url(self) -> str:
        """What the bot is told instead of the platform's address."""
        return f"http://127.0.0.1:{self.port}"

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._loop.run_until_complete(self._start())
        self._ready.set()
        self._loop.run_forever()

    async def _start(self) -> None:
        self._client = aiohttp.ClientSession(timeout=aiohttp.ClientTimeout(total=120))
        app = web.Application(client_max_size=64 * 1024 * 1024)
        app.router.add_route("*", "/bot{token}/{method}", self._handle)
        app.router.add_get("/file/bot{token}/{path:.*}", self._file)
        # A client that is killed must free the emulator's one place for a poller at once.
        self._runner = web.AppRunner(app, handler_cancellation=True, access_log=None, shutdown_timeout=0.5)
        await self._runner.setup()
        await web.TCPSite(self._runner, "127.0.0.1", self.port).start()

    def close(self) -> None:
        """Stop serving."""

        async def stop() -> None:
            await self._runner.cleanup()
            await self._client.close()

        asyncio.run_coroutine_threadsafe(stop(), self._loop).result(30)
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(10)
        self._loop.close()

    def wait(self, enough: Any, timeout_s: float = 20.0) -> bool:
        """Wait until ``enough(calls)`` is true; False where it did not become so in time."""
        until = time.monotonic() + timeout_s
        with self._changed:
            while not enough(self.calls):
                left = until - time.monotonic()
                if left <= 0:
                    return False
                self._changed.wait(min(left, 0.5))
            return True

    def _note(self, call: Call, **what: Any) -> None:
        with self._changed:
            for name, value in what.items():
                setattr(call, name, value)
            self._changed.notify_all()

    async def _file(self, request: web.Request) -> web.StreamResponse:
        path = request.match_info["path"]
        own = {shown: file_id for file_id, shown in self.file_paths.items()}
        token = request.match_info["token"]
        async with self._client.get(f"{self.upstream}/file/bot{token}/{own.get(path, path)}") as answer:
            return web.Response(status=answer.status, body=await answer.read())

    @staticmethod
    async def _read(request: web.Request) -> tuple[dict[str, Any], dict[str, tuple[str, bytes]]]:
        if request.content_type == "application/json":
            return dict(await request.json()), {}
        fields: dict[str, Any] = {}
        files: dict[str, tuple[str, bytes]] = {}
        for name, value in (await request.post()).items():
            if isinstance(value, web.FileField):
                files[name] = (value.filename, value.file.read())
            else:
                fields[name] = value
        return fields, files

    async def _handle(self, request: web.Request) -> web.StreamResponse:
        method = request.match_info["method"]
        fields, files = await self._read(request)
        call = Call(method, fields, time.monotonic(), tuple(files))
        fault = next((each for each in self.faults if each.strikes(method, call.chat)), None)
        call.fault = fault.kind if fault else None
        with self._changed:
            self.calls.append(call)
            self._changed.notify_all()
        if fault is not None and (early := await self._refuse(request, call, fault)) is not None:
            return early
        forward = asyncio.ensure_future(self._forward(request.match_info["token"], call, files))
        # What was asked is done even if the bot is killed meanwhile, as on the real service; only a poll ends with it.
        status, body = await (forward if method == "getUpdates" else asyncio.shield(forward))
        if fault is not None:
            return await self._spoil(request, call, fault, status, body)
        if self.delay_s and not (method == "getUpdates" and float(fields.get("timeout", 0)) and not body.get("result")):
            await asyncio.sleep(self.delay_s)
        return await self._answer(request, call, status, json.dumps(body).encode())

    async def _forward(
        self, token: str, call: Call, files: Mapping[str, tuple[str, bytes]]
    ) -> tuple[int, dict[str, Any]]:
        method, fields = call.method, call.fields
        if fields.get("parse_mode") == "HTML" and (why := complaint(call.text)):
            self._note(call, complaint=why)
            return 400, {"ok": False, "error_code": 400, "description": f"Bad Request: can't parse entities: {why}"}
        if method in ANSWERED_HERE:
            self._note(call, done=True, result=ANSWERED_HERE[method])
            return 200, {"ok": True, "result": ANSWERED_HERE[method]}
        form = aiohttp.FormData()
        for name, value in fields.items():
            if name not in UNKNOWN_TO_EMULATOR and not (method == "sendVoice" and name.startswith(("caption", "parse"))):
                form.add_field(name, value if isinstance(value, str) else json.dumps(value))
        for name, (filename, data) in files.items():
            form.add_field(name, data, filename=filename)
        while True:
            async with self._client.post(f"{self.upstream}/bot{token}/{method}", data=form()) as answer:
                status, body = answer.status, await answer.json()
            if method == "getUpdates" and status == 409 and "another" in body["description"]:
                # The poller before this one was killed, and the emulator needs up to 0.1 s to notice.
                await asyncio.sleep(0.05)
                form = aiohttp.FormData({name: str(value) for name, value in fields.items()})
                continue
            break
        if body.get("ok"):
            body["result"] = self._filled(method, call, body["result"])
            self._note(call, done=True, result=body["result"])
        return status, body

    def _filled(self, method: str, call: Call, result: Any) -> Any:
        """The emulator's answer with what it leaves out."""
        if method == "getMe":
            return {**result, "username": USERNAME}
        if method == "getFile" and call.fields.get("file_id") in self.file_paths:
            return {**result, "file_path": self.file_paths[call.fields["file_id"]]}
        if method in TO_PEOPLE and isinstance(result, dict):
            return {**result, "date": int(time.time())}
        if method == "getUpdates":
            offset = int(call.fields.get("offset", 0))
            seen = {update["update_id"] for update in self.confirmed}
            self.confirmed += [update for update in result if update["update_id"] not in seen]
            del self.confirmed[:-200]
            call.fields["offset"] = offset
            return [self._as_kind(update) for update in result]
        return result

    def _as_kind(self, update: dict[str, Any]) -> dict[str, Any]:
        kind = self.edits.get(update["update_id"])
        if kind is None:
            return update
        message = update["message"]
        if kind == "edited_message":
            message = {**message, "edit_date": int(time.time())}
        return {"update_id": update["update_id"], kind: message}

    async def _refuse(self, request: web.Request, call: Call, fault: Fault) -> web.StreamResponse | None:
        """Faults before the platform sees the call; None for the others."""
        match fault.kind:
            case "retry_after":
                seconds = int(fault.seconds)
                body = {
                    "ok": False, "error_code": 429, "description": f"Too Many Requests: retry after {seconds}",
                    "parameters": {"retry_after": seconds},
                }  # fmt: skip
                return await self._answer(request, call, 429, json.dumps(body).encode())
            case "refused":
                body = {"ok": False, "error_code": fault.status, "description": fault.description}
                return await self._answer(request, call, fault.status, json.dumps(body).encode())
            case "html":
                page = b"<html><body><h1>%d Bad Gateway</h1></body></html>" % fault.status
                return await self._answer(request, call, fault.status, page, "text/html")
            case "drop_before":
                return self._cut(request)
        return None

    async def _spoil(
        self, request: web.Request, call: Call, fault: Fault, status: int, body: dict[str, Any]
    ) -> web.StreamResponse:
        """Faults after the platform did what was asked."""
        match fault.kind:
            case "duplicate" if isinstance(body.get("result"), list):
                offset = call.fields.get("offset", 0)
                again = [self._as_kind(each) for each in self.confirmed if each["update_id"] < offset][-3:]
                body["result"] = [*again, *body["result"], *body["result"]]
            case "reorder" if isinstance(body.get("result"), list):
                body["result"] = body["result"][::-1]
            case "slow":
                await asyncio.sleep(fault.seconds)
            case "drop_after":
                return self._cut(request)
            case "half_closed":
                whole = json.dumps(body).encode()
                response = web.StreamResponse(status=status, headers={"Content-Length": str(len(whole))})
                response.content_type = "application/json"
                with contextlib.suppress(ConnectionError):
                    await response.prepare(request)
                    await response.write(whole[: len(whole) // 2])
                return self._cut(request)
            case "bad_json":
                whole = json.dumps(body).encode()
                return await self._answer(request, call, 200, whole[: len(whole) // 2])
        return await self._answer(request, call, status, json.dumps(body).encode())

    @staticmethod
    def _cut(request: web.Request) -> web.StreamResponse:
        if request.transport is not None:
            request.transport.abort()
        return web.Response()

    async def _answer(
        self, request: web.Request, call: Call, status: int, body: bytes, media_type: str = "application/json"
    ) -> web.StreamResponse:
        self._note(call, status=status)
        response = web.Response(status=status, body=body, content_type=media_type)
        try:
            await response.prepare(request)
            await response.write_eof()
        except (ConnectionError, asyncio.CancelledError):
            return response
        if request.transport is not None and not request.transport.is_closing():
            self._note(call, answered=call.fault not in UNANSWERED)
        return response
