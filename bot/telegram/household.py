"""What people say about themselves and each other: inviting, removing, sharing a diary, and whose diary is open."""

from __future__ import annotations

import re
from datetime import datetime
from typing import NamedTuple

from bot.telegram.access import Access, Link, Person
from bot.telegram.places import Place, Places, Share
from bot.telegram.updates import address_of, chat_of
from conversations.session.events import Attachment, Choice, Reply

NEUTRAL = "This assistant is private."
WELCOME = (
    "You are the owner now.\nSend a reading, or \"let's brew\" to start a batch; /help says more.\n"
    "/invite makes a link for somebody else."
)
ERASE = "erase everything now"
KEEP = "erase nothing"


class Said(NamedTuple):
    """Who says what where."""

    person: Person
    place: Place
    text: str
    now: datetime


def payload(text: str) -> str | None:
    """What follows ``/start``; None where the text is something else, empty for a bare one."""
    found = re.fullmatch(r"/start(?:@\w+)?(?:\s+(\S{1,64}))?\s*", text)
    return (found[1] or "") if found else None


class Household:
    """Answers what concerns people rather than beer; everything else is left to the session."""

    def __init__(self, access: Access, places: Places) -> None:
        """``link`` is set once the bot's own name is known."""
        self._access = access
        self._places = places
        self.username = ""

    def answer(self, said: Said) -> list[Reply] | None:
        """The replies, or None for a message that is not about people."""
        text = re.sub(r"^/(\w+)@\w+", r"/\1", said.text.strip())
        for pattern, answer in _COMMANDS:
            found = re.fullmatch(pattern, text, re.IGNORECASE)
            if found:
                replies: list[Reply] = answer(self, said, *found.groups())
                return replies
        return None

    def _link(self, token: str, group: bool = False) -> str:
        if not self.username:
            return f"/start {token}"
        return f"https://t.me/{self.username}?{'startgroup' if group else 'start'}={token}"

    def _invite(self, said: Said) -> list[Reply]:
        if said.person.role != "owner":
            return [Reply(text="Only the owner can invite. /share lets somebody who is here into this diary.")]
        token = self._access.make_link("invite", said.person.id, said.place.diary, said.now)
        return [Reply(text=f"For one person, until tomorrow at this time:\n{self._link(token)}")]

    def _share(self, said: Said) -> list[Reply]:
        batch = self._places.running(said.place.diary)
        only = (Choice(label=f"only {batch.name}"[:60], says="share this batch"),) if batch else ()
        may = "Whoever opens this can read this diary and write in it, all batches of it."
        return self._shared_by_link(said, may, None, only)

    def _share_batch(self, said: Said) -> list[Reply]:
        batch = self._places.running(said.place.diary)
        if batch is None:
            return [Reply(text='No batch is running. "switch to NAME" turns to one; /share is for the whole diary.')]
        may = f"Whoever opens this sees {batch.name} and can add readings, notes and photos; nothing else of the diary."
        return self._shared_by_link(said, may, batch.id, ())

    def _shared_by_link(self, said: Said, may: str, batch: int | None, choices: tuple[Choice, ...]) -> list[Reply]:
        if said.place.diary != said.place.address:
            return [Reply(text="This diary is somebody else's; only they can share it.")]
        token = self._access.make_link("share", said.person.id, said.place.diary, said.now, batch)
        return [
            Reply(
                text=f"{may}\nFor one person or one group, until tomorrow at this time:\n{self._link(token)}"
                + (f"\nFor a group: {self._link(token, group=True)}" if self.username else "")
                + "\n/unshare ends it.",
                choices=choices,
            )
        ]

    def _unshare(self, said: Said, number: str | None) -> list[Reply]:
        if said.place.diary != said.place.address:
            return [Reply(text='"/mine" leaves this diary. Who else is in it is for its owner to say.')]
        shares = self._places.shares(said.place.diary)
        if number and 1 <= int(number) <= len(shares):
            gone = shares[int(number) - 1]
            self._places.end(gone, f"{said.person.name or 'The owner'} shares {self._what(gone)} with this chat no more.", said.now)
            return [Reply(text=f"Ended: {self._named(gone)}.")]
        lines = [f"{at}. {self._named(share)}" for at, share in enumerate(shares, start=1)]
        return [
            Reply(
                text="\n".join(lines) or "This diary is shared with nobody.",
                choices=tuple(Choice(label=f"end {at}", says=f"/unshare {at}") for at in range(1, len(shares) + 1)),
            )
        ]

    def _named(self, share: Share) -> str:
        person = self._access.person(chat_of(share.address) or 0)
        place = self._places.find(share.address)
        who = (person.name if person else "") or (place.title if place else "") or "somebody"
        return f"{who}, {self._what(share)}"

    def _what(self, share: Share) -> str:
        batch = self._places.batch(share.diary, share.batch) if share.batch is not None else None
        return "the whole diary" if share.batch is None else batch.name if batch else "a batch that is gone"

    def start(self, said: Said, token: str) -> list[Reply] | None:
        """A deep link was opened by somebody who may talk; None where it is a word for the session."""
        if not re.match(r"[is][\w-]{20,}$", token):
            return None
        group = said.place.address != address_of(said.person.id)
        link = self._access.use_link(token, said.person.id, said.person.name, said.now, group)
        if link is None:
            return [Reply(text="That link does not hold: it was used, is too old, or is yours. Ask for a new one.")]
        return self.opened(said.place, said.person.name, link, said.now)

    def opened(self, place: Place, name: str, link: Link, now: datetime) -> list[Reply]:
        """The words after a link was used, for the newcomer; whoever made the link hears of it too."""
        who = place.title if (chat_of(place.address) or 0) < 0 and place.title else name or "Somebody"
        may = "may talk to me" if link.kind == "invite" else f"shares {self._what(Share(link.diary, link.batch, ''))}"
        self._places.tell(address_of(link.made_by), f"Your link was opened: {who} {may} now.", now)
        if link.kind == "invite":
            return [Reply(text="Welcome. Send a reading, or \"let's brew\" to start a batch; /help says more.")]
        if link.batch is not None:
            self._places.let_into_batch(link.diary, link.batch, place.address)
        return self._enter(place, Share(link.diary, link.batch, place.address))

    def _enter(self, place: Place, share: Share) -> list[Reply]:
        diary = share.diary
        self._places.work_in(place.address, diary, share.batch)
        if share.batch is not None:
            return [
                Reply(
                    text=f"This chat shares {self._what(share)} of {self._places.title(diary)} now: send readings, "
                    'notes and photos, or ask "what\'s next".\nWho took a reading is shown. /mine goes back to your own.',
                )
            ]
        return [
            Reply(
                text=f"You work in the diary of {self._places.title(diary)} now; "
                "its people see what you send here.\n/mine goes back to your own."
            )
        ]

    def _mine(self, said: Said) -> list[Reply]:
        self._places.work_in(said.place.address, said.place.address)
        return [Reply(text="This is your own diary.")]

    def _shared(self, said: Said, number: str | None) -> list[Reply]:
        diaries = [Share(diary, None, said.place.address) for diary in self._places.shared_with(said.person.id)]
        diaries += self._places.batches_shared_with(said.place.address)
        if said.place.address != address_of(said.person.id):
            return [Reply(text="A group has one diary. Choose in your private chat.")]
        if number and 1 <= int(number) <= len(diaries):
            return self._enter(said.place, diaries[int(number) - 1])
        lines = [
            f"{at}. {'the diary' if share.batch is None else self._what(share)} of {self._places.title(share.diary)}"
            for at, share in enumerate(diaries, start=1)
        ]
        return [
            Reply(
                text="\n".join(lines) or "Nobody has shared a diary with you.",
                choices=tuple(Choice(label=f"open {at}", says=f"/shared {at}") for at in range(1, len(diaries) + 1)),
            )
        ]

    def _people(self, said: Said) -> list[Reply]:
        if said.person.role != "owner":
            return [Reply(text="Only the owner sees who is here.")]
        lines = [
            f"{at}. {person.name or person.id}{' (owner)' if person.role == 'owner' else ''}"
            for at, person in enumerate(self._access.people(), start=1)
        ]
        count, seen = self._access.strangers()
        guests = [
            person.name or str(person.id)
            for person in self._access.people()
            if person.id in self._places.guests(said.place.diary)
        ]
        return [
            Reply(
                text="\n".join(lines)
                + (f"\nIn this diary too: {', '.join(guests)}." if guests else "")
                + (f"\nTurned away: {seen} messages of {count} stranger{'' if count == 1 else 's'}." if count else "")
                + ('\n"/remove 2" removes the second.' if len(lines) > 1 else "")
            )
        ]

    def _remove(self, said: Said, number: str) -> list[Reply]:
        people = self._access.people()
        if said.person.role != "owner":
            return [Reply(text="Only the owner can remove somebody.")]
        if not 1 <= int(number) <= len(people) or people[int(number) - 1].role == "owner":
            return [Reply(text="There is nobody to remove with that number. /people lists them.")]
        gone = people[int(number) - 1]
        self._access.remove(gone.id)
        self._places.shut(address_of(gone.id))
        return [Reply(text=f"{gone.name or gone.id} is removed and gets nothing any more.")]

    def _erase(self, said: Said) -> list[Reply]:
        if said.place.address != address_of(said.person.id):
            return [Reply(text="Say that in your private chat with me: a group's diary is not one person's.")]
        return [
            Reply(
                text="This erases your diary: batches, readings, notes, photos, reminders, and its backups. "
                "It cannot be undone.\n/export makes a copy first.",
                choices=(Choice(label="yes, erase everything", says=ERASE), Choice(label="keep it", says=KEEP)),
            )
        ]

    def _keep(self, said: Said) -> list[Reply]:
        return [Reply(text="Nothing is erased.")]

    def _export(self, said: Said) -> list[Reply]:
        if said.place.diary != said.place.address:
            return [Reply(text='This diary is somebody else\'s. "/mine" first, then /export.')]
        return [Reply(text="", attachments=(Attachment(kind="my_data", alt="Everything that is in this diary."),))]


_COMMANDS = (
    (r"/?invite(?: somebody| someone)?", Household._invite),
    (r"/?share(?: (?:this|the|my)(?: whole)? diary)?(?: with .{1,60})?", Household._share),
    (r"/?share[_ ](?:(?:only )?(?:this|the|my) )?(?:batch|brew|beer)(?: with .{1,60})?", Household._share_batch),
    (r"/unshare(?:[_ ](\d{1,2}))?|stop sharing|(?:end|stop) (?:the )?sharing", Household._unshare),
    (r"/mine|(?:back to )?my (?:own )?diary", Household._mine),
    (r"/shared(?:[_ ](\d{1,2}))?", Household._shared),
    (r"/people|who is here\??", Household._people),
    (r"/?remove[_ ](\d{1,3})", Household._remove),
    (r"/erase|erase (?:all )?my data|erase everything now", Household._erase),
    (KEEP, Household._keep),
    (r"/export|export (?:all )?my data", Household._export),
)
