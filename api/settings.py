"""How the server is reached, and what it takes."""

from pathlib import Path

from pydantic import Field

from vouchbook.models.record import Record

PREFIX = "/api/v1"
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


class ServerSettings(Record):
    """Settings of one server.

    ``hosts`` are the names by which browsers may call it, without the port: a page elsewhere that points a name of its
    own at this machine is refused. ``is_https`` says that browsers reach it by HTTPS, also through a proxy in front.
    ``largest_body_bytes`` is for everything but parts of an upload.
    """

    hosts: tuple[str, ...] = LOOPBACK
    is_https: bool = False
    largest_body_bytes: int = Field(default=64 << 20, ge=1024)
    exports: Path | None = None
    """Where backups and exports go on this server; without it there are none over HTTP."""
    sign_ins_per_login: str = "10/15 minutes"
    sign_ins_per_address: str = "50/15 minutes"
    """Failed sign-ins. NIST SP 800-63B asks for a limit and leaves the number open below 100 (from memory)."""

    @property
    def cookie(self) -> str:
        """The name of the cookie; by HTTPS one that browsers take from this host alone (RFC 6265bis, from memory)."""
        return "__Host-vouchbook" if self.is_https else "vouchbook"

    @property
    def csrf_cookie(self) -> str:
        """The name of the cookie from which our own pages read what forms must carry."""
        return f"{self.cookie}-csrf"
