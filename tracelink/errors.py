"""Every exception of the project, in one place.

Raise for a wrong call, return a finding for a wrong world (see DEVELOPERS.md). Only `cli/` turns an error
into an exit code; `exit_code` beside each family says which.
"""

import re

_LOGIN = re.compile(r"(://[^:/@\s]*):\S*@")
# Up to the last @ of the word: a password that nobody escaped may hold one.
_OPTION = re.compile(r"([?&][^=&\s]*pass[^=&\s]*=)[^&\s'\"]*", re.IGNORECASE)


def without_password(text: str) -> str:
    """Return `text` with three stars for the password of every database URL in it."""
    return _OPTION.sub(r"\1***", _LOGIN.sub(r"\1:***@", text)) if "://" in text else text


class LedgerError(Exception):
    """Base of everything this project raises on purpose; its text is a sentence for a person.

    It may name a ledger by its URL, and goes to screens, logs and files: the password is taken out here, once for all.
    """

    exit_code = 2

    def __init__(self, text: str = "") -> None:
        super().__init__(without_password(text))


class IdentifierError(LedgerError, ValueError):
    """A text is not the identifier it claims to be."""

    finding = "unreadable-code"
    """The finding code a station records when this error meets a scan."""


class InvalidFormat(IdentifierError):
    """Characters or structure are not those of the identifier."""

    finding = "wrong-format"


class InvalidLength(InvalidFormat):
    """The identifier has another number of characters."""

    finding = "wrong-length"


class InvalidCheckCharacter(IdentifierError):
    """The check digit or check character does not fit the rest."""

    finding = "wrong-check-character"


class UnknownSymbology(IdentifierError):
    """No symbology identifier, or one that carries nothing this plant uses."""

    finding = "wrong-symbology"


class WrongCarrier(IdentifierError):
    """A code of this kind may not come in this symbology."""

    finding = "wrong-symbology"


class LostSeparator(IdentifierError):
    """A variable-length field seems to have swallowed the fields after it."""

    finding = "lost-separator"


class UsageError(LedgerError):
    """The command or file cannot be used as given: what, where, expected, found."""


class UnknownCode(LedgerError):
    """The code asked about is not in the records; a wrong argument, not a refusal."""


class LedgerMissing(UsageError):
    """There is no ledger at the given place."""


class NotALedger(UsageError):
    """What is there is no ledger of this program."""


class LedgerBusy(LedgerError):
    """Another program holds the ledger; nothing was written."""

    exit_code = 4


class StorageFailed(LedgerError):
    """The disk or database refused the write; nothing of it was booked."""

    exit_code = 4


class BookingUnknown(StorageFailed):
    """Whether the act was booked is not known: the answer to the end of its transaction was lost."""

    exit_code = 6

    def __init__(self, text: str, refused: LedgerError) -> None:
        super().__init__(text)
        self.refused = refused
        """The error that it is if nothing was booked."""


class RefusedByRule(LedgerError):
    """A rule of the floor forbids the act; the text names the rule and what to do now."""

    exit_code = 4


class PinRefused(RefusedByRule):
    """A wrong PIN was given for a badge; the try is an entry."""


class StationTaken(RefusedByRule):
    """Another program is or was at the station meanwhile; this one may book nothing more there."""


class OpenElsewhere(RefusedByRule):
    """The station is open in another page of a browser."""


class PageGone(RefusedByRule):
    """A page asks for a station that it has no longer: it was opened elsewhere, or the server was started again."""


class ScanCame(RefusedByRule):
    """What was asked about a station is not worth an answer any more: the next scan is there."""


class RequestNotTaken(UsageError):
    """A request is not as our pages send it."""

    def __init__(self, text: str, status: int) -> None:
        super().__init__(text)
        self.status = status
        """Of the answer, as HTTP numbers them."""


class JournalError(LedgerError):
    """The journal does not verify."""

    exit_code = 3


class NotCanonical(JournalError):
    """An entry's bytes are not the canonical bytes of its content."""


class BrokenChain(JournalError):
    """An entry does not follow from the one before."""

    def __init__(self, seq: int, message: str) -> None:
        super().__init__(message)
        self.seq = seq
        """The first sequence number at which the journal departs from itself."""


class NewerJournal(JournalError):
    """The journal was written by a newer version of the program."""


class LedgerDamaged(JournalError):
    """The database that holds the ledger is damaged."""


class ProofFails(JournalError):
    """A proof or a signature does not show what it should."""


class ProjectionDiffers(JournalError):
    """The tables are not what the journal says."""


class ImageUnread(UsageError):
    """A file is not a picture in which a code can be read."""


class ImageDoubtful(LedgerError):
    """The two readers do not agree on a picture; nothing that it shows may be booked."""

    exit_code = 4


class LabelNotProven(LedgerError):
    """A drawn label does not read back as it should; it was not written."""

    exit_code = 4


class NotCertified(LedgerError):
    """A certificate does not show what it claims."""

    exit_code = 3
