"""Who may come in: one door for each address that the page is served at.

A page of another origin that the same browser shows, a foreign name that leads to this address, another
user of the computer: each can send requests here.  So a code that works once opens the door to one
browser, which then has a cookie; and every request must name this very address and come from our own page.
"""

import hmac
import threading
from email.message import Message
from http.cookies import CookieError, SimpleCookie
from secrets import token_urlsafe
from typing import Final

__all__ = ["ENTRANCE", "Door"]

ENTRANCE: Final = "/enter?code="
"""Where a browser comes in; the code follows."""

_COOKIE: Final = "bench"


class Door:
    """The way in by one address, such as "127.0.0.1:8123"."""

    def __init__(self, host: str) -> None:
        self.host: Final = host
        # Ports share their cookies, but not those of a folder that only we and the browser know
        self.place: Final = f"/{token_urlsafe(12)}/"
        self._session: Final = token_urlsafe(32)
        self._codes: set[str] = set()
        self._lock = threading.Lock()

    def new_address(self) -> str:
        """Return an address that lets one browser in, once."""
        code = token_urlsafe(16)
        with self._lock:
            self._codes.add(code)
        return f"http://{self.host}{ENTRANCE}{code}"

    def enter(self, code: str) -> str | None:
        """Use a code up, and return the cookie for its browser; None for a code that is not, or no more."""
        with self._lock:
            if code not in self._codes:
                return None
            self._codes.remove(code)
        return f"{_COOKIE}={self._session}; Path={self.place}; HttpOnly; SameSite=Strict"

    def knows(self, headers: Message) -> bool:
        """Whether a request carries our cookie."""
        try:
            cookie = SimpleCookie(headers.get("Cookie", "")).get(_COOKIE)
        except CookieError:
            return False
        return cookie is not None and hmac.compare_digest(cookie.value.encode(), self._session.encode())

    def ours(self, headers: Message, *, writes: bool) -> bool:
        """Whether a request names this address, and was sent by our page or by the address bar.

        A browser says from where a request comes (`Sec-Fetch-Site`) only to an address that it trusts, which
        those of a workshop's network are not; `Origin` it sends with whatever writes.
        """
        if headers.get("Host") != self.host:
            return False
        site, origin = headers.get("Sec-Fetch-Site"), headers.get("Origin")
        if writes:
            return origin == f"http://{self.host}" and site in (None, "same-origin")
        return origin in (None, f"http://{self.host}") and site in (None, "same-origin", "none")
