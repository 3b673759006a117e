"""Settings from the environment and a file; what is wrong is said in plain words and never shows the token."""

from __future__ import annotations

import io
import logging
from pathlib import Path

import pytest

from bot.main import main
from bot.telegram import logs
from bot.telegram.settings import SettingsError, load

TOKEN = "123456:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsaw"


@pytest.fixture(autouse=True)
def _clean(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in ("TOKEN", "BASE_URL", "RATE", "WEBHOOK_URL", "WEBHOOK_SECRET"):
        monkeypatch.delenv(f"POTSIDE_TELEGRAM_{name}", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def test_environment_wins_over_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "settings.toml"
    file.write_text(f'telegram_token = "{TOKEN}"\ntelegram_rate = 5\ndata = "/srv/diary.db"\n')
    monkeypatch.setenv("POTSIDE_TELEGRAM_RATE", "7")
    settings = load(file)
    assert (settings.token, settings.telegram_rate, settings.data) == (TOKEN, 7.0, Path("/srv/diary.db"))
    assert settings.bot_id == "123456"
    assert TOKEN not in repr(settings) + str(settings.model_dump())


@pytest.mark.parametrize("base", ["http://127.0.0.1:9050", "http://127.0.0.1:9050/", "http://127.0.0.1:9050/bot"])
def test_address_of_the_service_in_any_form(base: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("POTSIDE_TELEGRAM_TOKEN", TOKEN)
    monkeypatch.setenv("POTSIDE_TELEGRAM_BASE_URL", base)
    assert load().telegram_base_url == "http://127.0.0.1:9050"


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("", "POTSIDE_TELEGRAM_TOKEN is not set"),
        ('telegram_token = "not one 12345"', "must look like"),
        (f'telegram_token = "{TOKEN}"\ntelegram_rat = 3', "telegram_rat is not a setting"),
        (f'telegram_token = "{TOKEN}"\ntelegram_rate = "fast"', "POTSIDE_TELEGRAM_RATE"),
        (f'telegram_token = "{TOKEN}"\ntelegram_base_url = "https://me:pw@x"', "without a name"),
        (f'telegram_token = "{TOKEN}"\ntelegram_webhook_url = "https://x.example/p"', "telegram_webhook_secret"),
        (f'telegram_token = "{TOKEN}"\ntelegram_webhook_url = "http://x.example/p"', "https://"),
        ("telegram_token = ", "cannot be read"),
    ],
)
def test_what_is_wrong_is_said_without_the_value(lines: str, said: str, tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text(lines)
    with pytest.raises(SettingsError) as found:
        load(file)
    assert any(said in line for line in found.value.lines)
    assert TOKEN not in str(found.value)
    assert "12345" not in str(found.value).replace("123456:letters", "")
    assert "me:pw" not in str(found.value)


def test_check_by_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["serve", "--check", "--settings", str(tmp_path / "none.toml")]) == 2
    assert "There is no settings file" in capsys.readouterr().out


def test_check_when_the_service_does_not_answer(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("POTSIDE_TELEGRAM_TOKEN", TOKEN)
    monkeypatch.setenv("POTSIDE_TELEGRAM_BASE_URL", "http://127.0.0.1:9")
    assert main(["serve", "--check", "--data", str(tmp_path / "d.db")]) == 1
    said = capsys.readouterr()
    assert "does not answer" in said.out
    assert TOKEN not in said.out + said.err


def test_log_holds_no_token_no_text_and_no_name() -> None:
    out = io.StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(logs.JsonLines(TOKEN))
    log = logging.getLogger("test.of.logs")
    log.propagate, log.handlers = False, [handler]
    log.error("GET https://api.example/bot%s/sendMessage", TOKEN)
    log.error("another bot987654:BBHdqTcvCH1vGWJxfSeofSAs0K5PALDsaw/x")
    try:
        raise ValueError(f"Ada said gravity 1.050 with {TOKEN}")
    except ValueError:
        log.exception("handling", extra={"url": f"/bot{TOKEN}/x"})
    said = out.getvalue()
    assert TOKEN not in said
    assert "BBHdq" not in said
    assert "Ada" not in said
    assert "ValueError" in said
