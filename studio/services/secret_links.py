"""Secret addresses: 256 random bits that are shown once, of which only a hash is kept.

A copy of the database opens nothing, and what an index compares is a hash that nobody can steer.
"""

import hashlib
import secrets
from hmac import compare_digest

TOKEN_BYTES = 32


def new_token() -> str:
    """Return a fresh token, 43 signs that can stand in an address."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def hash_of(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def is_same(kept: str, wanted: str) -> bool:
    """Compare two hashes whole, in a time that tells nothing."""
    return compare_digest(kept, wanted)
