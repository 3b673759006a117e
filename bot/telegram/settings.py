"""What `potside serve` must be told, from the environment or a settings file, checked in plain words."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

from pydantic import Field, SecretStr, ValidationError, field_validator, model_validator
from pydantic_settings import BaseSettings, PydanticBaseSettingsSource, SettingsConfigDict, TomlConfigSettingsSource

SERVICE = "https://api.telegram.org"
PREFIX = "POTSIDE_"


class SettingsError(Exception):
    """The settings cannot be used; ``lines`` are sentences for the person who wrote them, without any secret."""

    def __init__(self, lines: list[str]) -> None:
        super().__init__(" ".join(lines))
        self.lines = lines


class Settings(BaseSettings):
    """Settings of `potside serve`: ``POTSIDE_TELEGRAM_TOKEN=...`` or ``telegram_token = "..."`` in a TOML file.

    The environment wins over the file.
    """

    model_config = SettingsConfigDict(env_prefix=PREFIX, extra="forbid", frozen=True, hide_input_in_errors=True)

    telegram_token: SecretStr
    telegram_base_url: str = SERVICE
    data: Path | None = None
    telegram_poll_seconds: int = Field(default=30, ge=0, le=50)
    """How long one fetch waits for something to come in."""
    telegram_webhook_url: str = ""
    """Public https address that Telegram is to call; empty means that Potside fetches."""
    telegram_webhook_secret: SecretStr = SecretStr("")
    telegram_webhook_listen: str = "127.0.0.1"
    telegram_webhook_port: int = Field(default=8443, ge=1, le=65535)
    telegram_rate: float = Field(default=25, ge=0, le=1000)
    """Messages a second in all; 0 for no limit, for measuring."""
    telegram_chat_rate: float = Field(default=1, ge=0, le=1000)
    """Messages a second to one person; 0 for no limit, for measuring."""
    telegram_group_rate: float = Field(default=16, ge=0, le=60000)
    """Messages a minute to one group, beside a burst of four; 0 for no limit, for measuring."""
    status_message: bool = True
    """Whether each chat with a running batch gets a pinned message that is kept up to date."""
    backups: int = Field(default=7, ge=0, le=365)
    """How many daily copies of the data file are kept; 0 makes none."""
    log_level: str = "INFO"

    @field_validator("telegram_token")
    @classmethod
    def _token(cls, value: SecretStr) -> SecretStr:
        if not re.fullmatch(r"\d+:[A-Za-z0-9_-]+", value.get_secret_value()):
            raise ValueError("must look like 123456:letters-and-digits, as the service's bot for bots gives it")
        return value

    @field_validator("telegram_base_url")
    @classmethod
    def _address(cls, value: str) -> str:
        value = value.rstrip("/").removesuffix("/bot")
        if not re.fullmatch(r"https?://[^\s/@]+(/\S*)?", value):
            raise ValueError("must be a web address such as https://example.org, without a name or password in it")
        return value

    @field_validator("telegram_webhook_url")
    @classmethod
    def _webhook(cls, value: str) -> str:
        if value and not re.fullmatch(r"(https://|http://(127\.0\.0\.1|localhost)[:/])\S+", value):
            raise ValueError("must begin with https://")
        return value

    @field_validator("log_level")
    @classmethod
    def _level(cls, value: str) -> str:
        if value.upper() not in ("DEBUG", "INFO", "WARNING", "ERROR"):
            raise ValueError("must be DEBUG, INFO, WARNING or ERROR")
        return value.upper()

    @model_validator(mode="after")
    def _secret(self) -> Settings:
        secret = self.telegram_webhook_secret.get_secret_value()
        if self.telegram_webhook_url and not re.fullmatch(r"[A-Za-z0-9_-]{16,256}", secret):
            raise ValueError("a webhook needs telegram_webhook_secret: 16 to 256 letters, digits, _ or -")
        return self

    @property
    def token(self) -> str:
        """The bare token, for the one place that talks to the service."""
        return self.telegram_token.get_secret_value()

    @property
    def bot_id(self) -> str:
        """Number of the bot, which is the public part of its token."""
        return self.token.partition(":")[0]

    @classmethod
    def settings_customise_sources(
        cls,
        settings_cls: type[BaseSettings],
        init_settings: PydanticBaseSettingsSource,
        env_settings: PydanticBaseSettingsSource,
        dotenv_settings: PydanticBaseSettingsSource,
        file_secret_settings: PydanticBaseSettingsSource,
    ) -> tuple[PydanticBaseSettingsSource, ...]:
        """The environment first, then the file."""
        return (init_settings, env_settings, TomlConfigSettingsSource(settings_cls))


def default_file() -> Path:
    """Where the settings file is looked for."""
    from platformdirs import user_config_path

    return user_config_path("potside", appauthor=False) / "settings.toml"


def load(file: Path | None = None) -> Settings:
    """Read the settings; raises SettingsError with a sentence for everything that is wrong."""
    if file is not None and not file.is_file():
        raise SettingsError([f"There is no settings file {file}."])
    path = file or default_file()

    nothing: dict[str, Any] = {}

    class FromFile(Settings):
        model_config = SettingsConfigDict(toml_file=path)

    try:
        return FromFile(**nothing)
    except ValidationError as error:
        raise SettingsError([_sentence(dict(each), path) for each in error.errors()]) from None
    except (ValueError, OSError) as error:
        raise SettingsError([f"The settings file {path} cannot be read: {type(error).__name__}."]) from None


def _sentence(error: dict[str, Any], path: Path) -> str:
    """One finding of pydantic in plain words; never with the value, which may be the token."""
    name = str(error["loc"][0]) if error["loc"] else ""
    if error["type"] == "missing":
        return f"{PREFIX}{name.upper()} is not set: put it in the environment, or {name} in {path}."
    if error["type"] == "extra_forbidden":
        return f"{name} is not a setting of Potside; look for a typing error in {path}."
    said = str(error["msg"]).removeprefix("Value error, ")
    return f"{PREFIX}{name.upper()} {said}." if name else f"{said[0].upper()}{said[1:]}."


def open_to_others(file: Path) -> list[str]:
    """A sentence where others of this machine can read the settings file, and with it the token."""
    if os.name == "posix" and file.is_file() and file.stat().st_mode & 0o077:
        return [f"Others of this machine can read {file}, and the token in it: chmod 600 {file}"]
    return []


def findings(settings: Settings, data: Path) -> list[str]:
    """What is odd about usable settings, as sentences: an empty list is a clean bill."""
    lines = []
    if settings.telegram_base_url.startswith("http://") and not re.match(
        r"http://(127\.|localhost|\[::1\])", settings.telegram_base_url
    ):
        lines.append("The service's address is http, so the token would travel unprotected.")
    if not data.parent.exists():
        lines.append(f"The folder {data.parent} does not exist yet; it will be made.")
    return lines
