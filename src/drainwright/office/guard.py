"""What stands before every request: its host, an address of plain characters; and the headers of every answer."""

from __future__ import annotations

import re
from collections.abc import Callable

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from drainwright.office.bounds import bounded
from drainwright.office.errors import answer
from drainwright.office.settings import Settings

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self' blob:",  # blob: photos taken in the yard, before they are sent
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")
HEADERS = {
    "content-security-policy": POLICY,
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), geolocation=(self), microphone=(), payment=(), usb=()",
    "referrer-policy": "same-origin",
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
}


def host_of(header: str) -> str:
    """The name in a Host header, without its port: ``[::1]:8000`` is ``[::1]``."""
    if header.startswith("["):
        return header[: header.find("]") + 1]
    return header.partition(":")[0].lower()


class Guard:
    """Refuses what is for another host or an odd address; gives every answer its headers, also where something broke.

    A page elsewhere can make a browser look up a name that leads to this machine; its requests then carry that name.
    """

    def __init__(self, app: ASGIApp, settings: Settings, broken: Callable[[Request, Exception], Response]) -> None:
        self.app = app
        self.settings = settings
        self.broken = broken

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # there are no web sockets here
        begun = False

        async def with_headers(message: Message) -> None:
            nonlocal begun
            begun = True
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("cache-control", "no-store")
                if self.settings.secure:
                    headers.setdefault("strict-transport-security", "max-age=31536000")
            await send(message)

        hosts = [value.decode("latin-1") for name, value in scope["headers"] if name == b"host"]
        if len(hosts) != 1 or host_of(hosts[0]) not in self.settings.hosts:
            names = " or ".join(sorted(self.settings.hosts))
            elsewhere = PlainTextResponse(f"This address does not lead to Drainwright; expected {names}.\n", 421)
            await elsewhere(scope, receive, with_headers)
            return
        if CONTROL.search(scope["path"]):  # a route's end fits before a line break, an access rule may not
            odd = answer(Request(scope), 404, "Found control characters in the address; expected none.")
            await odd(scope, receive, with_headers)
            return
        try:
            await self.app(scope, bounded(scope, receive), with_headers)
        except Exception as error:
            if begun:
                raise
            await self.broken(Request(scope), error)(scope, receive, with_headers)


__all__ = ["HEADERS", "POLICY", "Guard", "host_of"]
