"""Signed notes, verifier keys and checkpoints: published values, and what is not in the one right form."""

import pytest
from support_each import each
from support_vectors import by_id, load

from tracelink.errors import ProofFails
from tracelink.ledger.proof.note import (
    Checkpoint,
    Note,
    Signature,
    VerifierKey,
    key_name,
    parse_checkpoint,
    parse_note,
    parse_verifier_key,
    require_signed,
)
from tracelink.store.journal.keys import SigningKey, is_signed

[NOTE] = load("evidence", "c2sp-signed-note")
[POINT] = load("evidence", "c2sp-checkpoint")
PUBLISHED = NOTE["expected"].encode()
KEY = parse_verifier_key(NOTE["input"]["vkey"])
ROOT = "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="


class TestPublished:
    def test_the_example_of_a_signed_note(self):
        note = parse_note(PUBLISHED)
        assert note.text == NOTE["input"]["text"], NOTE["source"]
        assert require_signed(note, [KEY], is_signed) == [KEY]
        assert note.encoded() == PUBLISHED

    def test_its_signature_is_made_again(self):
        key = SigningKey("PeterNeumann", bytes.fromhex(NOTE["input"]["seed_hex"]))
        assert str(key.verifier) == NOTE["input"]["vkey"]
        assert Note(NOTE["input"]["text"], (key.sign(NOTE["input"]["text"]),)).encoded() == PUBLISHED

    def test_a_checkpoint(self):
        given = POINT["input"]
        key = SigningKey(given["origin"], bytes.fromhex(given["secret_hex"]))
        assert str(key.verifier) == given["vkey"]
        assert key.verifier.key_id.hex() == given["key_id_hex"]
        point = Checkpoint(given["origin"], given["size"], bytes.fromhex(given["root_hex"]))
        note = Note(point.text(), (key.sign(point.text()),))
        assert note.encoded().decode() == POINT["expected"], POINT["source"]
        assert parse_checkpoint(parse_note(POINT["expected"].encode()).text) == point

    @pytest.mark.parametrize("case", load("evidence", "c2sp-checkpoint-body"), ids=by_id)
    def test_the_text_of_a_checkpoint(self, case):
        given = case["input"]
        point = Checkpoint(given["origin"], given["size"], bytes.fromhex(given["root_hex"]))
        assert point.text() == case["expected"], case["source"]
        assert parse_checkpoint(case["expected"]) == point

    @pytest.mark.parametrize("case", load("evidence", "c2sp-vkey-parse"), ids=by_id)
    def test_keys_that_are_none(self, case):
        assert case["expected"] == "error"
        with pytest.raises(ProofFails):
            parse_verifier_key(case["input"])

    @pytest.mark.parametrize("case", load("evidence", "ed25519"), ids=by_id)
    def test_ed25519(self, case):
        given = case["input"]
        key = SigningKey("test", bytes.fromhex(given["secret_hex"]))
        message = bytes.fromhex(given["message_hex"])
        value = bytes.fromhex(case["expected"])
        assert key.verifier.public.hex() == given["public_hex"], case["source"]
        assert is_signed(key.verifier, value, message)
        assert not is_signed(key.verifier, value, message + b"x")
        assert not is_signed(key.verifier, value[:-1], message)
        # A note is text, so only a message that is text can be signed as one; test 3 is not UTF-8.
        try:
            text = message.decode()
        except UnicodeDecodeError:
            return
        assert key.sign(text).value == value


class TestNotes:
    def test_every_single_changed_byte_is_noticed(self):
        """The text, the name, the id, the signature: nothing of a note may change unnoticed."""
        for place in range(len(PUBLISHED)):
            for bit in (0x01, 0x20, 0x80):
                changed = bytearray(PUBLISHED)
                changed[place] ^= bit
                with pytest.raises(ProofFails):
                    require_signed(parse_note(bytes(changed)), [KEY], is_signed)

    def test_every_cut_is_noticed(self):
        for place in range(len(PUBLISHED)):
            with pytest.raises(ProofFails):
                require_signed(parse_note(PUBLISHED[:place]), [KEY], is_signed)

    @each(
        ("data", "told"),
        [
            (b"text\n\xff", "the signed note is not UTF-8 text: byte 5 cannot be read"),
            (b"text\r\n\n", "the signed note holds control characters: expected none but line feeds"),
            (b"text\n", "the signed note has no empty line before its signatures"),
            (b"text\n\n", "the signed note is cut off: its last line does not end"),
            (b"text\n\n\n", "the signed note is cut off: its last line does not end"),
            (b"text\n\n\nx\n", "the signed note has 'x' where a signature should be: expected dash, name, base64"),
            (b"text\n\n- a AAAAAAA=\n", "the signed note has '- a AAAAAAA=' where a signature should be"),
            ("text\n\n\u2014 a\n".encode(), "where a signature should be"),
            ("text\n\n\u2014 a+b AAAAAAA=\n".encode(), "'a+b' is not a name for a key"),
            ("text\n\n\u2014 a AAAAAA==\n".encode(), "the signature of a is too short: expected more than 4 bytes"),
            ("text\n\n\u2014 a AAAAAAB=\n".encode(), "the signature of a is not base64 in its one form"),
            ("text\n\n\u2014 a AAAAAAA\n".encode(), "the signature of a is not base64 in its one form"),
            ("text\n\n\u2014 a AAAA AAA=\n".encode(), "the signature of a is not base64 in its one form"),
            (b"text\n\n" + "\u2014 a AAAAAAA=\n".encode() * 101, "has 101 signatures: expected at most 100"),
        ],
    )  # fmt: skip
    def test_forms_that_are_none(self, data, told):
        with pytest.raises(ProofFails) as problem:
            parse_note(data)
        assert told in str(problem.value)

    def test_the_text_ends_at_the_last_empty_line(self):
        key = SigningKey("k", bytes(32))
        text = "one\n\ntwo\n"
        note = Note(text, (key.sign(text),))
        assert parse_note(note.encoded()) == note
        assert require_signed(note, [key.verifier], is_signed) == [key.verifier]


class TestSigners:
    """C2SP signed-note: ignore unknown keys, reject a known key that fails, reject without any known key."""

    MINE, OTHER = SigningKey("mine", bytes(32)), SigningKey("other", b"\x01" * 32)
    TEXT = "a text\n"

    def test_unknown_signers_say_nothing(self):
        junk = Signature("other", b"\x00\x00\x00\x00", b"whatever")
        note = Note(self.TEXT, (junk, self.MINE.sign(self.TEXT), self.OTHER.sign("another text\n")))
        assert require_signed(note, [self.MINE.verifier], is_signed) == [self.MINE.verifier]

    def test_a_known_signer_that_is_wrong_spoils_the_note(self):
        note = Note(self.TEXT, (self.MINE.sign(self.TEXT), self.OTHER.sign("another text\n")))
        with pytest.raises(ProofFails, match=r"the signature of other \([0-9a-f]{8}\) does not fit the text"):
            require_signed(note, [self.MINE.verifier, self.OTHER.verifier], is_signed)

    def test_without_any_known_signer_it_is_refused_and_all_are_named(self):
        note = Note(self.TEXT, (self.OTHER.sign(self.TEXT),))
        wanted = self.MINE.verifier
        with pytest.raises(ProofFails) as told:
            require_signed(note, [wanted], is_signed)
        assert str(told.value) == (
            f"it is signed by other ({self.OTHER.verifier.key_id.hex()}), not by a key that is known here: "
            f"mine ({wanted.key_id.hex()})"
        )

    def test_sixteen_signers_are_read(self):
        keys = [SigningKey(f"k{n}", bytes([n]) * 32) for n in range(16)]
        note = Note(self.TEXT, tuple(key.sign(self.TEXT) for key in keys))
        assert require_signed(parse_note(note.encoded()), [key.verifier for key in keys], is_signed) == [
            key.verifier for key in keys
        ]


class TestKeys:
    def test_a_key_goes_through_text(self):
        for seed in range(40):
            key = SigningKey("plant/journal", bytes([seed]) * 32).verifier
            assert parse_verifier_key(str(key)) == key

    @pytest.mark.parametrize("text", ["", "a", "a+b", "a+00000000+AA==", f"{KEY}="])
    def test_texts_that_are_no_key(self, text):
        with pytest.raises(ProofFails):
            parse_verifier_key(text)

    def test_a_key_of_another_type_is_refused(self):
        with pytest.raises(ProofFails, match="is not of type Ed25519"):
            parse_verifier_key(f"{KEY.name}+{KEY.key_id.hex()}+Alpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW")

    @pytest.mark.parametrize(
        ("plant", "name"),
        [
            ("Gull Point Pressing", "Gull-Point-Pressing-journal"),
            ("  A+B \t Presse\u00a0Süd ", "A-B-Presse-Süd-journal"),
            ("+", "journal"),
        ],
    )
    def test_the_name_of_a_plants_journal(self, plant, name):
        assert key_name(plant) == name
        key = VerifierKey(name, bytes(32))
        assert parse_verifier_key(str(key)) == key


class TestCheckpoints:
    def test_further_lines_are_kept(self):
        text = f"a b\n7\n{ROOT}\nmore\n"
        found = parse_checkpoint(text)
        assert (found.origin, found.size, found.extensions) == ("a b", 7, ("more",))
        assert found.text() == text

    @each(
        ("text", "told"),
        [
            ("a\n1\n", "the checkpoint has 2 lines: expected journal, number of entries, root"),
            (f"a\n1\n{ROOT}", "the checkpoint has 2 lines"),
            (f"a\n1\n{ROOT}\nmore", "the checkpoint has 3 lines"),
            (f"\n1\n{ROOT}\n", "the checkpoint has an empty line where none may be"),
            (f"a\n1\n{ROOT}\n\n", "the checkpoint has an empty line where none may be"),
            *(
                (f"a\n{size}\n{ROOT}\n", f"the checkpoint says {size!r} entries: expected a number without leading zeros")
                for size in ("", "01", "-1", "+1", " 1", "1e3", "\u0661", "9" * 5000)
            ),
            ("a\n1\nAAAA\n", "the root in the checkpoint has 3 bytes: expected 32"),
            (f"a\n1\n{ROOT[:-1]}\n", "the root in the checkpoint is not base64 in its one form"),
        ],
    )  # fmt: skip
    def test_texts_that_are_none(self, text, told):
        with pytest.raises(ProofFails) as problem:
            parse_checkpoint(text)
        assert told in str(problem.value)
