"""The character sets of GS1 element strings. Source: GS1 General Specifications, tables of character sets 82, 39, 32."""

CSET_82_ORDER = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
"""Character set 82 in the order of the values the check pair gives its characters, 0 to 81."""

CSET_82 = frozenset(CSET_82_ORDER)
"""GS1 character set 82, allowed in lots and serials."""

CSET_39 = frozenset("#-/0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ")
"""GS1 character set 39, allowed in component numbers."""

CSET_32 = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""GS1 character set 32 in the order of its values, 0 to 31: what check pairs are written in."""

CSET_64 = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_=")
"""Base 64 in its form for file names and addresses, with padding (RFC 4648, section 5)."""
