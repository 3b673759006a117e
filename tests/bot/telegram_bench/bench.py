"""Emulator and proxy together, and the invented people who write to the bot."""

from __future__ import annotations

import http.client
import json
import time
import urllib.parse
import urllib.request
from typing import Any, NamedTuple

from tests.bot.telegram_bench.emulator import Emulator, free_port
from tests.bot.telegram_bench.faults import Fault
from tests.bot.telegram_bench.proxy import TO_PEOPLE, Call, Proxy

TOKEN = "4200:bench-token-that-no-log-may-hold"


class Person(NamedTuple):
    """Somebody on the messenger; the private chat has the person's own number."""

    id: int
    name: str


ADA, BEN, STRANGER = Person(101, "Ada"), Person(102, "Ben"), Person(666, "Nobody Known")
GROUP = -5001


class Bench:
    """What a test holds: write as somebody, wait for what the bot sends, plan faults."""

    def __init__(self) -> None:
        self.emulator = Emulator()
        self.proxy = Proxy(self.emulator.url, free_port())
        self._message_id = 1000
        self._last_id = 0
        host, _, port = self.emulator.url.removeprefix("http://").partition(":")
        self._control = http.client.HTTPConnection(host, int(port), timeout=30)

    @property
    def url(self) -> str:
        """Base address for the bot; PTB adds ``/bot<token>`` itself where the base ends in ``/bot``."""
        return self.proxy.url

    def close(self) -> None:
        """Stop both."""
        self._control.close()
        self.proxy.close()
        self.emulator.close()

    def _post(self, path: str, body: dict[str, Any]) -> dict[str, Any]:
        self._control.request("POST", path, json.dumps(body), {"Content-Type": "application/json"})
        with self._control.getresponse() as answer:
            got: dict[str, Any] = json.loads(answer.read())
        if not got.get("ok"):
            raise RuntimeError(got)
        return got

    def inject(self, update: dict[str, Any]) -> int:
        """Hand an update to the platform; returns its id."""
        answer = self._post("/__fixture/updates", {"token": TOKEN, "update": update})
        self._last_id = int(answer["result"]["update_id"])
        return self._last_id

    def message(self, who: Person, chat: int | None = None, **content: Any) -> dict[str, Any]:
        """A message as the platform describes it, with what it holds in ``content``."""
        self._message_id += 1
        number = chat if chat is not None else who.id
        kind = {"id": number, "type": "private", "first_name": who.name}
        if number < 0:
            kind = {"id": number, "type": "group", "title": "Kitchen"}
        return {
            "message_id": self._message_id,
            "date": int(time.time()),
            "chat": kind,
            "from": {"id": who.id, "is_bot": False, "first_name": who.name},
            **content,
        }

    def say(self, who: Person, text: str, chat: int | None = None, **content: Any) -> int:
        """Send a text; commands are marked as the platform marks them."""
        if text.startswith("/"):
            length = len(text.split()[0])
            content["entities"] = [{"type": "bot_command", "offset": 0, "length": length}]
        return self.inject({"message": self.message(who, chat, text=text, **content)})

    def press(self, who: Person, data: str, message_id: int, chat: int | None = None) -> int:
        """Press a button with this data under a message of the bot."""
        under = self.message(who, chat, text="buttons")
        under |= {"message_id": message_id, "from": {"id": 7, "is_bot": True, "first_name": "Bench"}}
        query = {
            "id": f"q{time.monotonic_ns()}",
            "from": {"id": who.id, "is_bot": False, "first_name": who.name},
            "chat_instance": str(chat or who.id),
            "message": under,
            "data": data,
        }
        return self.inject({"callback_query": query})

    def press_label(self, who: Person, call: Call, label: str) -> int:
        """Press the button with this label (or one that contains it) under a message that the bot sent."""
        data = next(value for text, value in call.buttons.items() if label.lower() in text.lower())
        return self.press(who, data, int(call.result["message_id"]), call.chat)

    def edit(self, who: Person, message_id: int, text: str, chat: int | None = None) -> int:
        """Correct a message that was sent before."""
        message = self.message(who, chat, text=text) | {"message_id": message_id}
        # The id is known only after injecting, and the bot may fetch at once; so it is reserved before.
        following = self._last_id + 1
        self.proxy.edits[following] = "edited_message"
        return self.inject({"update_id": following, "message": message})

    def upload(self, data: bytes, kind: str = "Voice") -> str:
        """Put bytes on the platform and return the file id under which the bot can fetch them."""
        boundary = "----bench"
        field = kind.lower()
        body = b"".join(
            [
                f'--{boundary}\r\nContent-Disposition: form-data; name="chat_id"\r\n\r\n1\r\n'.encode(),
                f'--{boundary}\r\nContent-Disposition: form-data; name="{field}"; filename="f.bin"\r\n\r\n'.encode(),
                data,
                f"\r\n--{boundary}--\r\n".encode(),
            ]
        )
        request = urllib.request.Request(
            f"{self.emulator.url}/bot{TOKEN}/send{kind}",
            body,
            {"Content-Type": f"multipart/form-data; boundary={boundary}"},
        )
        with urllib.request.urlopen(request, timeout=60) as answer:
            result = json.loads(answer.read())["result"]
        found = result[field]
        return str((found[-1] if isinstance(found, list) else found)["file_id"])

    def voice(self, who: Person, file_id: str, size: int, seconds: int = 3, chat: int | None = None) -> int:
        """Send a voice note that was uploaded before."""
        content = {"file_id": file_id, "file_unique_id": file_id, "duration": seconds, "file_size": size,
                   "mime_type": "audio/ogg"}  # fmt: skip
        return self.inject({"message": self.message(who, chat, voice=content)})

    def photo(self, who: Person, file_id: str, caption: str = "", chat: int | None = None) -> int:
        """Send a picture that was uploaded before."""
        sizes = [{"file_id": file_id, "file_unique_id": file_id, "width": 90, "height": 60, "file_size": 1000}]
        return self.inject({"message": self.message(who, chat, photo=sizes, caption=caption)})

    def document(self, who: Person, file_id: str, name: str, size: int = 100, chat: int | None = None) -> int:
        """Send a file that was uploaded before, under any name."""
        content = {"file_id": file_id, "file_unique_id": file_id, "file_name": name, "file_size": size,
                   "mime_type": "application/octet-stream"}  # fmt: skip
        return self.inject({"message": self.message(who, chat, document=content)})

    def fault(self, kind: Any, method: str, **options: Any) -> Fault:
        """Plan a fault."""
        planned = Fault(kind, method, **options)
        self.proxy.faults.append(planned)
        return planned

    def sent(self, chat: int | None = None, done: bool = True) -> list[Call]:
        """What the bot sent to people, in order: what the platform carried out, or everything it tried."""
        return [
            call
            for call in self.proxy.calls
            if call.method in TO_PEOPLE and (chat is None or call.chat == chat) and (call.done or not done)
        ]

    def hears(self, chat: int, words: str, timeout_s: float = 20.0, after: int = 0) -> Call:
        """Wait until the chat was sent something with these words (any case) after its first ``after`` messages."""

        def found() -> Call | None:
            for call in self.sent(chat)[after:]:
                if words.lower() in call.text.lower():
                    return call
            return None

        if not self.proxy.wait(lambda calls: found() is not None, timeout_s):
            heard = "\n".join(call.text for call in self.sent(chat, done=False)[-12:])
            raise AssertionError(f"chat {chat} was not told {words!r}; it was told:\n{heard}")
        got = found()
        assert got is not None
        return got

    def quiet(self, seconds: float = 1.0) -> None:
        """Wait until the bot has sent nothing for so long."""
        while True:
            before = len([call for call in self.proxy.calls if call.method != "getUpdates"])
            time.sleep(seconds)
            if len([call for call in self.proxy.calls if call.method != "getUpdates"]) == before:
                return

    def file_url(self, path: str) -> str:
        """Where the platform keeps a file, for checks of the bench itself."""
        return f"{self.emulator.url}/file/bot{TOKEN}/{urllib.parse.quote(path)}"
