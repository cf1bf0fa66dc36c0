"""Secrets that are given out once; the library keeps only their hashes."""

from hashlib import sha256
from secrets import token_urlsafe

_BYTES = 32


def new_secret(begins: str = "") -> str:
    """A secret of 256 random bits, fit for a URL and a header."""
    return begins + token_urlsafe(_BYTES)


def hash_of(secret: str) -> str:
    """What is kept. A plain SHA-256 is enough: nobody can try all secrets of 256 random bits."""
    return sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
