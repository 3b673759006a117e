"""The `potside` command: the chat, `rehearse` and `ask`.

What is heavy is imported only by the command that needs it, so that `potside --help` answers at once.
"""

from __future__ import annotations

import argparse
import io
import logging
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from bot.export.arguments import add_export_commands


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="potside",
        description="Brew beer in one pot with somebody beside you: without a command, a chat opens.",
    )
    parser.add_argument("--data", metavar="FILE", type=Path, help="keep the diary in this file")
    parser.add_argument("--source-ids", action="store_true", help=argparse.SUPPRESS)
    parser.add_argument("--log", metavar="FILE", type=Path, help="write what goes wrong to this file")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    rehearsal = commands.add_parser("rehearse", help="play a scripted day against a simulated clock")
    rehearsal.add_argument("script", metavar="SCRIPT", help="a text file, or - for standard input")
    demo = commands.add_parser("demo", help="see an invented batch from recipe to glass in two minutes")
    demo.add_argument("--fast", action="store_true", help="without pauses for reading")
    demo.add_argument("-o", "--output", metavar="FOLDER", type=Path, help="for the pictures and the page")
    stick = commands.add_parser("stick", help="write a measuring stick at natural size, to print and tape to a spoon")
    pot = stick.add_mutually_exclusive_group()
    pot.add_argument("--diameter", metavar="24cm", help="of a straight pot, inside; the diary's pot where left out")
    pot.add_argument("--marks", metavar="6.3cm=2l,12.5cm=4l", help="measured depths and volumes, for a rounded pot")
    stick.add_argument("--height", metavar="25cm", help="of the pot, inside")
    stick.add_argument("--units", choices=("metric", "imperial", "us"), help="litres, imperial or US pints")
    stick.add_argument("--data", metavar="FILE", type=Path, default=argparse.SUPPRESS, help="take the pot of this diary")
    stick.add_argument("-o", "--output", metavar="FILE", type=Path, default=Path("stick.pdf"), help="a .pdf or .png")
    ask = commands.add_parser("ask", help="answer one message without recording anything")
    ask.add_argument("--json", action="store_true", help="print what was understood, one JSON object a line")
    ask.add_argument("--units", choices=("metric", "imperial", "us"), help="units to answer in")
    ask.add_argument("--at", metavar="TIME", help="ISO 8601 time of the message; now where left out")
    # SUPPRESS: a default here would overwrite a --data given before the command.
    ask.add_argument("--data", metavar="FILE", type=Path, default=argparse.SUPPRESS, help="answer from this diary")
    ask.add_argument("--list-intents", action="store_true", help="print every intent with one example")
    ask.add_argument("text", metavar="TEXT", nargs="*", help="the message, or - to read one a line")
    recipe = commands.add_parser("recipe", help="read a recipe and print the plan for your kit")
    recipe.add_argument("file", metavar="FILE", help="a text file, or - for standard input")
    recipe.add_argument("--litres", metavar="N", type=float, help="scale it to so many litres")
    recipe.add_argument("--units", choices=("metric", "imperial", "us"), help="units to read and answer in")
    recipe.add_argument("--json", action="store_true", help="print one JSON object")
    recipe.add_argument("--data", metavar="FILE", type=Path, default=argparse.SUPPRESS, help="fit it to this diary's kit")
    serve = commands.add_parser("serve", help="be there on Telegram, for the people that you let in")
    serve.add_argument("--check", action="store_true", help="say what is wrong with the settings, and stop")
    serve.add_argument("--new-owner", action="store_true", help="print a pairing code although somebody is paired")
    serve.add_argument("--settings", metavar="FILE", type=Path, help="TOML file with the settings")
    serve.add_argument("--data", metavar="FILE", type=Path, default=argparse.SUPPRESS, help="keep the diary here")
    status = commands.add_parser("status", help="whether the server and its data file are well")
    status.add_argument("--json", action="store_true", help="print one JSON object")
    status.add_argument("--data", metavar="FILE", type=Path, default=argparse.SUPPRESS, help="of this diary")
    restore = commands.add_parser("restore", help="list the backups, or put one back")
    restore.add_argument("backup", metavar="DATE", nargs="?", help="date of a backup, or a file")
    restore.add_argument("--data", metavar="FILE", type=Path, default=argparse.SUPPRESS, help="of this diary")
    hear = commands.add_parser("hear", help="answer voice notes in files without recording anything")
    hear.add_argument("--json", action="store_true", help="print what was heard, one JSON object a file")
    hear.add_argument("--stage", metavar="STAGE", help="as if the batch were at this stage")
    hear.add_argument("--engine", choices=("auto", "pocketsphinx", "whisper", "both"), default="auto")
    hear.add_argument("--model", metavar="NAME", default="", help="name or folder of a whisper model")
    hear.add_argument("--units", choices=("metric", "imperial", "us"), help="units to answer in")
    hear.add_argument("--data", metavar="FILE", type=Path, default=argparse.SUPPRESS, help="answer from this diary")
    hear.add_argument("files", metavar="FILE", nargs="+", help="a voice note; most sound formats are read")
    say = commands.add_parser("say", help="write a voice note that says a text")
    say.add_argument("text", metavar="TEXT", nargs="+")
    say.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="OGG/Opus file to write")
    add_export_commands(commands)
    return parser


def _complain(sentence: str) -> None:
    print(f"potside: {sentence}", file=sys.stderr)


def _default_data() -> Path:
    from platformdirs import user_data_path

    return user_data_path("potside", appauthor=False) / "diary.db"


def _chat(arguments: argparse.Namespace) -> int:
    from bot import terminal
    from bot.store import Store

    path: Path = arguments.data or _default_data()
    store = Store.open(path)
    try:
        if sys.stdin.isatty() and sys.stdout.isatty():
            return terminal.interactive(store, path.with_name(path.name + ".history"))
        return terminal.pipe(store, arguments.source_ids)
    finally:
        store.close()


def _rehearse(arguments: argparse.Namespace) -> int:
    from bot.rehearse import rehearse
    from bot.script import ScriptError

    try:
        if arguments.script == "-":
            lines = sys.stdin.read().splitlines()
        else:
            lines = Path(arguments.script).read_text(encoding="utf-8-sig").splitlines()
    except OSError as error:
        _complain(f"The script {arguments.script} cannot be read: {(error.strerror or 'unknown').lower()}.")
        return 2
    except UnicodeDecodeError:
        _complain(f"The script {arguments.script} is not a text file in UTF-8.")
        return 2
    try:
        rehearse(lines, sys.stdout)
    except ScriptError as error:
        _complain(f"{arguments.script}: {error}")
        return 2
    return 0


def _demo(arguments: argparse.Namespace) -> int:
    from time import sleep

    from bot.demo import demo

    demo(sys.stdout, None if arguments.fast or not sys.stdout.isatty() else sleep, arguments.output)
    return 0


def _ask(arguments: argparse.Namespace) -> int:
    from bot import ask
    from bot.clock import SystemClock

    if arguments.list_intents:
        return ask.list_intents(sys.stdout)
    if not arguments.text:
        _complain("Nothing was asked. Put the message after ask, or - to read one message a line.")
        return 2
    clock = SystemClock()
    try:
        now = ask.read_time(arguments.at, clock) if arguments.at else clock.now()
    except ValueError:
        _complain(f"'{arguments.at}' is not a time. Write it like 2026-03-14T09:30+00:00.")
        return 2
    state = ask.state_for(arguments.data, arguments.units, now)
    texts = ask.lines_of(sys.stdin) if arguments.text == ["-"] else [" ".join(arguments.text)]
    return ask.ask(texts, state, now, arguments.json, sys.stdout)


def _recipe(arguments: argparse.Namespace) -> int:
    from bot import ask, recipe_command
    from bot.clock import SystemClock

    if arguments.litres is not None and not 0.5 <= arguments.litres <= 200:
        _complain(f"{arguments.litres:g} litres is no batch for a kitchen. Between 0.5 and 200, please.")
        return 2
    text = _text_of(arguments.file, "recipe")
    if text is None:
        return 2
    now = SystemClock().now()
    state = ask.state_for(arguments.data, arguments.units, now)
    return recipe_command.run(text, state, now, arguments.litres, arguments.json, sys.stdout)


def _text_of(name: str, what: str) -> str | None:
    """A text file, or standard input; None where it cannot be read, which is said."""
    try:
        return sys.stdin.read() if name == "-" else Path(name).read_text(encoding="utf-8-sig")
    except OSError as error:
        _complain(f"The {what} {name} cannot be read: {(error.strerror or 'unknown').lower()}.")
    except UnicodeDecodeError:
        _complain(f"The {what} {name} is not a text file in UTF-8. A picture cannot be read: type or paste the text.")
    return None


def _serve(arguments: argparse.Namespace) -> int:
    from bot.telegram import commands

    if arguments.check:
        return commands.check(arguments.data, arguments.settings, _default_data())
    return commands.serve(arguments.data, arguments.settings, _default_data(), arguments.new_owner)


def _stick(arguments: argparse.Namespace) -> int:
    from bot import ask, stick_command
    from bot.clock import SystemClock

    given = arguments.data or _default_data()
    data = given if arguments.data or given.exists() else None
    state = ask.state_for(data, arguments.units, SystemClock().now())
    try:
        kit = stick_command.kit_for(
            state.kit, state.units, arguments.diameter, arguments.marks, arguments.height
        )
        written = stick_command.write(kit, state.units, arguments.output)
    except stick_command.Unreadable as error:
        _complain(str(error))
        return 2
    for path in written:
        print(f"Wrote {path}. Print it at 100 %: its check line must measure 50 mm.")
    return 0


def _served_data(arguments: argparse.Namespace) -> Path:
    path: Path | None = arguments.data or (Path(given) if (given := os.environ.get("POTSIDE_DATA")) else None)
    return (path or _default_data()).expanduser()


def _status(arguments: argparse.Namespace) -> int:
    from bot.clock import SystemClock
    from bot.status import report

    return report(_served_data(arguments), SystemClock().now(), arguments.json, sys.stdout)


def _restore(arguments: argparse.Namespace) -> int:
    from bot.telegram.commands import restore

    return restore(_served_data(arguments), arguments.backup)


def _hear(arguments: argparse.Namespace) -> int:
    from bot import ask
    from bot.clock import SystemClock
    from bot.speech import commands
    from conversations.session.stages import stages

    if arguments.stage is not None and arguments.stage not in stages():
        _complain(f"There is no stage {arguments.stage}. Take one of {', '.join(stages())}.")
        return 2
    now = SystemClock().now()
    state = commands.at_stage(ask.state_for(arguments.data, arguments.units, now), arguments.stage, now)
    return commands.hear(
        arguments.files, state, now, arguments.engine, arguments.model, arguments.json, sys.stdout
    )


def _say(arguments: argparse.Namespace) -> int:
    from bot.speech import commands
    from bot.speech.port import SpeechError

    try:
        return commands.say(" ".join(arguments.text), arguments.output)
    except SpeechError as fault:
        _complain(str(fault))
        return 2


def _export(arguments: argparse.Namespace) -> int:
    from bot.export.command import export

    return export(arguments, arguments.data or _default_data())


def _import(arguments: argparse.Namespace) -> int:
    from bot.export.command import restore_from

    return restore_from(arguments, arguments.data or _default_data())


def _plain_text() -> None:
    """Any bytes may come in and any letter go out: what cannot be read or shown becomes a mark."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code: 0 done, 1 failed, 2 asked for wrongly, 130 interrupted."""
    words = sys.argv[1:] if argv is None else argv
    arguments = _parser().parse_args([word.encode("utf-8", "replace").decode("utf-8") for word in words])
    _plain_text()
    logging.basicConfig(
        filename=arguments.log, level=logging.WARNING if arguments.log else logging.CRITICAL, encoding="utf-8"
    )
    from bot.store_errors import StoreError

    run = {
        "rehearse": _rehearse,
        "demo": _demo,
        "ask": _ask,
        "recipe": _recipe,
        "serve": _serve,
        "stick": _stick,
        "status": _status,
        "restore": _restore,
        "hear": _hear,
        "say": _say,
        "export": _export,
        "import": _import,
    }.get(arguments.command, _chat)
    try:
        return run(arguments)
    except StoreError as error:
        _complain(str(error))
        return 1
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        # Whoever read along has left; without this Python complains once more when it closes the stream.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except OSError as error:
        _complain(f"The answer could not be written: {(error.strerror or 'unknown').lower()}.")
        return 1
    except Exception as fault:
        logging.getLogger(__name__).exception("potside")
        _complain(f"Something went wrong on my side ({type(fault).__name__}). What was answered is kept.")
        return 1


if __name__ == "__main__":
    sys.exit(main())
