"""The digest of a scope file: it shows a slip or damage anywhere in it, and is not a signature."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

import rfc8785

from tracelink.errors import NotCertified

DIGEST = "digest"
"""The key that holds it; everything beside it is covered."""


def digest_of(document: Mapping[str, Any]) -> str:
    """SHA-256 of the canonical form of everything but the digest, in hexadecimal.

    Raises:
        NotCertified: the document has a value without a canonical form, such as a number beyond 2^53.

    Source:
        RFC 8785, JSON Canonicalization Scheme.
    """
    rest = {key: value for key, value in document.items() if key != DIGEST}
    try:
        return hashlib.sha256(rfc8785.dumps(rest)).hexdigest()
    except (rfc8785.CanonicalizationError, UnicodeEncodeError) as problem:
        raise NotCertified(f"the file has a value that no scope has: {problem}") from None
    except RecursionError:
        raise NotCertified("the file has a value that no scope has: it is nested too deeply") from None


def require_digest(document: Mapping[str, Any]) -> None:
    """Compare the digest that a document carries.

    Raises:
        NotCertified: it has none, or another.
    """
    found, expected = document.get(DIGEST), digest_of(document)
    if found != expected:
        raise NotCertified(
            f"the file was changed after it was written: its digest is {str(found)[:16]}, expected {expected[:16]}"
        )
