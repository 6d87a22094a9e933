"""Every finding code: why a scan was refused, or what is not as it should be, with its meaning and what to do.

The codes stand in journals, so none is ever renamed or given another meaning; one that nothing raises any more goes
out of this list, and an old entry that holds it stays readable, because bodies hold codes as text.
"""

from enum import StrEnum
from typing import Self


class FindingCode(StrEnum):
    """One code: in the journal its text, for people its meaning and what to do."""

    meaning: str
    """What is wrong, for who sees the code without the sentence of the scan."""
    to_do: str
    """What the person at the station does about it."""

    def __new__(cls, code: str, meaning: str = "", to_do: str = "") -> Self:
        """Make the member of one row of the table below; called with a code alone, Enum looks the member up."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.meaning = meaning
        member.to_do = to_do
        return member

    # fmt: off
    ACT_NOT_FINISHED = "act-not-finished", "The action before this one still asks for something.", "Scan what it asks for, or scan CANCEL."
    ACT_NOT_HERE = "act-not-here", "This action card belongs to another kind of station.", "Scan a card of this station."
    ALREADY_JUDGED = "already-judged", "The sample has been judged before.", "To change the judgement scan CANCEL, then REJUDGE."
    ALREADY_MOUNTED = "already-mounted", "This stamper or material is on the press already.", "Check the code; scan the new one."
    ALREADY_SAMPLED = "already-sampled", "This disc has a sample tag already.", "Read the stroke again."
    ANOTHER_LABEL = "another-label", "The second scan of PICK read another label than the first.", "Scan the label of the piece you hold."
    BAD_SAMPLES = "bad-samples", "A lot with bad samples was about to be released.", "Do not release it; where quality accepts it, two people scan OVERRULE."
    BADGE_IN_PICTURE = "badge-in-picture", "A camera saw a badge; a picture signs nobody on and confirms nothing.", "Scan the badge with a reader."
    BADGE_REFUSED = "badge-refused", "A wrong PIN was keyed for a badge.", "Key the right PIN after the wait; after too many, quality sets a new one."
    CANNOT_GROW = "cannot-grow", "Nothing is grown from a tool of this kind.", "Scan the tool that the new one was grown from."
    CARD_IN_USE = "card-in-use", "The spindle card stands for another stack already.", "Take a new card."
    CARTON_BROKEN = "carton-broken", "The carton was broken open and its content is not counted yet.", "Count it with REPACK."
    CARTON_DESTROYED = "carton-destroyed", "The system shows this carton as destroyed.", "Put it aside and tell quality."
    CARTON_EMPTY = "carton-empty", "There is nothing in this carton.", "Check the label."
    CARTON_FULL = "carton-full", "The carton takes no more units.", "Scan the next carton's label, or CLOSE."
    CARTON_NOT_BROKEN = "carton-not-broken", "REPACK is only for a carton that was broken open.", "Check the label."
    CARTON_NOT_CLOSED = "carton-not-closed", "Only a closed carton can be used here.", "Check the label; close the carton first."
    CARTON_OPEN = "carton-open", "A carton is still open at a line.", "Scan CLOSE at the line first."
    CARTON_RETURNED = "carton-returned", "The carton came back and is in quarantine.", "Quality inspects it and scans RESTOCK."
    COUNT_DIFFERS = "count-differs", "A count differs from what the system shows.", "Count again and tell quality; the lot is under investigation."
    COUNTER_BACKWARDS = "counter-backwards", "The press counter reads less than it did before.", "Read the counter again."
    COUNTER_TOO_HIGH = "counter-too-high", "The press counter reads far more than was planned.", "Read the counter again."
    DESTROYED_NUMBER = "destroyed-number", "A sleeve number that was destroyed has turned up.", "Put the piece aside for quality."
    DISC_IN_HAND = "disc-in-hand", "A disc or an unfinished unit must be dealt with first.", "Finish it, or scan STOP."
    DUPLICATE_NUMBER = "duplicate-number", "The same sleeve number was scanned before.", "Put both pieces aside for quality."
    FOREIGN_DISC = "foreign-disc", "The matrix number is not one of this plant.", "Do not book the disc in; tell quality."
    HAS_A_PARENT = "has-a-parent", "The carton or pallet is still on or in something else.", "Check where it is and take it off there first."
    HELD_BACK = "held-back", "Units wait for a re-check after a wrong piece was scanned.", "Scan RECHECK, then each of those units."
    KEPT_FOR_AN_ORDER = "kept-for-an-order", "The carton or pallet is reserved for an order.", "Leave it, or have the reservation released."
    KEPT_FOR_ANOTHER = "kept-for-another", "The carton or pallet is reserved for another order.", "Leave it where it is."
    LABEL_CONTRADICTS = "label-contradicts", "The label says something else than the system.", "Put the carton aside and tell quality."
    LABEL_IN_USE = "label-in-use", "The label is already on another carton or pallet.", "Take a new label."
    LINE_STOPPED = "line-stopped", "The line is stopped after a wrong piece was scanned.", "Put the pieces aside and scan STOP."
    LOST_SEPARATOR = "lost-separator", "The scanner left out the separator between two fields, so one field has taken in the next.", "Scan the label again; if it happens again, have the scanner's settings checked."
    LOT_DECIDED = "lot-decided", "The lot is released or rejected, so no discs can be added to it.", "Plan another lot."
    LOT_NOT_RELEASED = "lot-not-released", "The carton or pallet holds discs of a lot that is not released.", "Leave it where it is until quality has released the lot."
    LOT_REJECTED = "lot-rejected", "The lot is rejected.", "Put the discs aside; only two people can release it, with OVERRULE."
    LOT_UNKNOWN = "lot-unknown", "Nobody knows which lot these returned discs are from.", "Leave them in quarantine, or scan DESTROY."
    LOT_USED = "lot-used", "The lot has been set up on a press before.", "Scan a planned lot, or RESUME to continue this one."
    MARK_UNKNOWN = "mark-unknown", "The stamper mark typed for returned discs is not a stamper of this plant.", "Read it again; if it cannot be read, scan CANCEL, then RETURNNOMARK."
    MIXED_PALLET = "mixed-pallet", "This plant does not put several products on one pallet.", "Build another pallet for the carton."
    MORE_THAN_SHIPPED = "more-than-shipped", "More discs came back than were sent of that lot.", "Count again and tell quality."
    NO_CARTON = "no-carton", "No carton is open at the line.", "Scan a new carton label."
    NO_DISC = "no-disc", "The disc or item comes before its sleeve.", "Scan the disc first."
    NO_DRIVER_CHECK = "no-driver-check", "No driver has checked the load as it is now.", "Scan DRIVER first."
    NO_LOT = "no-lot", "No lot is set up on this press.", "Scan SETUP first."
    NO_NUMBER = "no-number", "A numbered sleeve was scanned without its number, or a number was not wanted here.", "Scan the number label, not the barcode."
    NO_NUMBERS = "no-numbers", "The sleeves of a numbered edition came in without a list of their numbers.", "Tell quality."
    NO_PALLET = "no-pallet", "No pallet is open at this dock.", "Scan PALLET first."
    NO_PIN = "no-pin", "What was keyed cannot be a PIN.", "Key # and the 4 to 8 digits of your PIN."
    NO_PIN_ASKED = "no-pin-asked", "A number was keyed right after a badge was refused; it was not saved.", "Scan your badge first, then key the number again."
    NO_READ = "no-read", "A code will not scan.", "Turn the piece and scan again; after two tries scan MANUAL or REJECT."
    NO_SHIPMENT = "no-shipment", "No shipment is being loaded at this dock.", "Scan SHIP first."
    NO_SPINDLE = "no-spindle", "No spindle with this disc is open.", "Scan the spindle card."
    NO_SUCH_STROKE = "no-such-stroke", "The lot has no disc with this stroke.", "Read the stroke again."
    NOBODY_SIGNED_ON = "nobody-signed-on", "Nobody is signed on at this station.", "Scan your badge first."
    NOT_A_STAMPER = "not-a-stamper", "A tool that is not a stamper was scanned for the press.", "Scan a stamper."
    NOT_BOOKED = "not-booked", "Something outside the rules stopped this scan; nothing was booked.", "Do what the sentence says and scan again."
    NOT_CLEARED = "not-cleared", "The line must be cleared first.", "Scan CLEAR, then a second person's badge."
    NOT_IN_QUARANTINE = "not-in-quarantine", "The returned discs are no longer in quarantine.", "Check the number of the return."
    NOT_IN_RECORDS = "not-in-records", "The system does not know exactly what is in this carton.", "Leave it and tell quality."
    NOT_INFERABLE = "not-inferable", "The carton is short, and nobody can tell what is missing.", "Leave it broken and tell quality."
    NOT_JUDGED = "not-judged", "The sample has no judgement to correct.", "Scan CANCEL, then GOOD or BAD."
    NOT_LOADED = "not-loaded", "The carton or pallet is not on a vehicle.", "Check the label."
    NOT_ON_A_PALLET = "not-on-a-pallet", "The carton is not on a pallet.", "Check the label."
    NOT_PRESSED = "not-pressed", "The lot has no discs yet, or is still being pressed.", "Wait until the lot is pressed."
    NOT_PUT_AWAY = "not-put-away", "The carton or pallet has no location yet.", "Scan PUT instead of MOVE."
    NOT_READY = "not-ready", "The line is missing a clearance, a sleeve batch or a carton.", "Scan what the sentence names."
    NOT_RESTED = "not-rested", "The discs have not rested long enough, or the clocks disagree.", "Wait, or have the clocks of press and line set."
    NOT_RETURNED = "not-returned", "The carton did not come back from a customer.", "Check the label."
    NOT_SHIPPED = "not-shipped", "The carton has not left the plant.", "Check the label before you book it in."
    NOT_STARTED = "not-started", "The lot on this press is not started.", "Scan START first."
    NOT_TAKEN_OFF = "not-taken-off", "RESUME is for a lot that was taken off its press.", "Check the lot card."
    NOT_TO_BE_DESTROYED = "not-to-be-destroyed", "Only returned or broken cartons are destroyed.", "Check the label."
    NOTHING_HELD_BACK = "nothing-held-back", "No unit waits for a re-check.", "Go on packing."
    NOTHING_TO_CANCEL = "nothing-to-cancel", "No action is open.", "Go on; nothing needs to be cancelled."
    NOTHING_TO_CORRECT = "nothing-to-correct", "The last counter reading is not one that can be corrected here.", "Tell quality."
    NOTHING_TO_STACK = "nothing-to-stack", "No disc was counted since the last stack.", "Read the counter again."
    NOTHING_TO_THROW = "nothing-to-throw", "All discs up to this count have left the press.", "Read the counter again."
    NOTHING_TO_UNDO = "nothing-to-undo", "There is nothing to take back.", "Go on; a closed carton is opened with REOPEN."
    ON_HOLD = "on-hold", "Quality has put this, or something it was made of, on hold.", "Put it aside; quality lifts the hold."
    PAIR_SWAPPED = "pair-swapped", "The stampers of side A and side B are swapped.", "Scan the stamper of the side that is asked for."
    PALLET_EMPTY = "pallet-empty", "There is no carton on the pallet.", "Scan its cartons first."
    PALLET_FULL = "pallet-full", "The pallet takes no more cartons.", "Scan CLOSE."
    PALLET_NOT_ACCEPTED = "pallet-not-accepted", "Only an accepted pallet is shipped.", "Scan ACCEPT for the pallet first."
    PALLET_NOT_CLOSED = "pallet-not-closed", "The pallet is not in the state this action needs.", "Do first what the sentence says."
    PALLET_NOT_OPEN = "pallet-not-open", "The carton is on a pallet that cannot be changed now.", "Scan REOPEN for the pallet first."
    PALLET_OPEN = "pallet-open", "A pallet is still open.", "Scan CLOSE first."
    PARTNER_EVENT_REFUSED = "partner-event-refused", "An event in a partner's file was not taken.", "Read the reason, and ask the partner for a corrected file."
    PIN_AWAITED = "pin-awaited", "A PIN is expected, and something else was scanned.", "Key # and the PIN, or scan CANCEL."
    PIN_BLOCKED = "pin-blocked", "Too many wrong PINs were keyed for this badge.", "Quality sets a new PIN."
    PIN_KEY_MISSING = "pin-key-missing", "PINs cannot be checked on this machine: a secret key is missing.", "Tell the administrator."
    PIN_NOT_RECORDED = "pin-not-recorded", "A recorded log was played back, and no log keeps a PIN.", "Sign on at the station itself."
    PIN_TOO_EARLY = "pin-too-early", "A PIN was keyed before the wait after a wrong one was over.", "Wait, then key it again."
    PRESS_BUSY = "press-busy", "Another lot is still on this press.", "Scan STOP for it first."
    PUT_AWAY_ALREADY = "put-away-already", "The carton or pallet has a location already.", "Scan MOVE to take it elsewhere."
    READ_FIRST = "read-first", "A code may be typed only after two failed scans.", "Scan the piece; scan NOREAD twice if it will not read."
    RECHECK_FAILED = "recheck-failed", "A piece of a unit being re-checked is wrong.", "Scan the right piece, or TAKEOUT to scrap the unit."
    REPLY_BEFORE_NOTICE = "reply-before-notice", "A consignee's answer is older than the notice to it.", "Check the time of the answer; write it down again if it is wrong."
    REPLY_CONTRADICTS_DOCK = "reply-contradicts-dock", "A consignee says it sent back fewer discs than the dock booked.", "Count what came back, and ask the consignee."
    REPLY_OF_MORE_THAN_SENT = "reply-of-more-than-sent", "A consignee speaks of more discs than were delivered to it.", "Ask the consignee; write the answer down again."
    RESTS_ON_IT = "rests-on-it", "Something was booked after this counter reading, so it cannot be changed any more.", "Tell quality."
    SAME_PERSON = "same-person", "Two people are needed, and one person scanned both badges.", "A second person scans a badge."
    SECOND_COPY = "second-copy", "This piece is in the unit already.", "Put it aside and scan the piece that is asked for."
    SEVERAL_CODES = "several-codes", "A picture shows several codes, so nobody can say which is meant; nothing was booked.", "Show one code."
    SEVERAL_HOLDS = "several-holds", "Several holds name this thing.", "Scan the hold that is to be lifted."
    SHIPMENT_EMPTY = "shipment-empty", "Nothing is loaded.", "Scan pallets or PICK cartons first."
    SHIPMENT_LEFT = "shipment-left", "The shipment has left.", "Book what comes back with RETURN."
    SHIPMENT_OPEN = "shipment-open", "Another shipment is still being loaded here.", "Scan DEPART first."
    SHIPMENT_OVER = "shipment-over", "The load holds more than was ordered and the plant allows.", "Unload some, or have quality scan ACCEPTLOAD."
    SHIPMENT_SHORT = "shipment-short", "The load holds less than was ordered and the plant allows.", "Load more, or have quality scan ACCEPTLOAD."
    SISTER_EDITION = "sister-edition", "The piece is of another edition of the same title.", "Put it aside and scan STOP."
    SPINDLE_EMPTY = "spindle-empty", "The system shows this spindle as empty.", "Scan the card of the stack in front of you."
    STAMPER_ELSEWHERE = "stamper-elsewhere", "The stamper is mounted on another press.", "Check the tag."
    SUPERSEDED_ITEM = "superseded-item", "The kit item is an older print.", "Put it aside and take the new one."
    SUPERSEDED_SLEEVE = "superseded-sleeve", "The sleeves are an older print.", "Put them aside and fetch the new print."
    TAG_IN_USE = "tag-in-use", "The tag is on another tool or sample already.", "Take a new tag."
    THERE_ALREADY = "there-already", "The carton or pallet is in that location already.", "Check the location."
    THROWN_OUT = "thrown-out", "The disc was scrapped when the press was set up.", "Read the stroke again, or tell quality."
    TOOL_MOUNTED = "tool-mounted", "The tool is on a press.", "Take it off with CHANGE or STOP first."
    TOOL_RETIRED = "tool-retired", "The tool is retired.", "Put it away and fetch another."
    UNDER_INVESTIGATION = "under-investigation", "The numbers of the lot do not add up, and the investigation is open.", "Close the investigation first."
    UNKNOWN_CODE = "unknown-code", "The code is not in the system.", "Check that you scanned the right label; if so, tell the administrator."
    UNREADABLE_CODE = "unreadable-code", "The scan is not a code of this plant.", "Scan the right label."
    VOID_LABEL = "void-label", "The label was declared void or handed back.", "Put it aside and take another."
    WRONG_BATCH = "wrong-batch", "No sleeve of this batch is in the carton.", "Scan one of the batches named."
    WRONG_CARTON = "wrong-carton", "The sleeve number belongs in another carton.", "Put the sleeve aside for quality, or book the return of its carton first."
    WRONG_CHECK_CHARACTER = "wrong-check-character", "The check digit or check letter does not fit the rest of the code.", "Scan again; if you typed it, type it again."
    WRONG_COUNT = "wrong-count", "The number cannot be right.", "Count again."
    WRONG_COUNTER = "wrong-counter", "This number is not a correction of the last counter reading.", "Read the counter again."
    WRONG_DISC = "wrong-disc", "Another disc of the set was expected.", "Put the disc aside and scan the one that is asked for."
    WRONG_FORMAT = "wrong-format", "The text does not have the form this code has.", "Scan again; if you typed it, type it as shown."
    WRONG_ITEM = "wrong-item", "Another item of the kit was expected.", "Put it aside and scan the one that is asked for."
    WRONG_LABEL = "wrong-label", "The labels belong to another disc or side.", "Fetch the labels of this side."
    WRONG_LENGTH = "wrong-length", "The code has too few or too many characters.", "Scan again."
    WRONG_LOT = "wrong-lot", "No disc of this lot is in the carton.", "Scan one of the lots named."
    WRONG_MATRIX = "wrong-matrix", "The matrix number does not belong to this disc or product.", "Do not run; read it again and put the piece aside."
    WRONG_NUMBER = "wrong-number", "The sleeve number does not belong here.", "Put disc and sleeve aside and scan STOP."
    WRONG_ROLE = "wrong-role", "The person does not have the role this action needs.", "Ask someone who has it."
    WRONG_SIDE = "wrong-side", "The matrix number belongs to the other side.", "Look at the lacquer again, or scan CANCEL."
    WRONG_SLEEVE = "wrong-sleeve", "The sleeve number is not in this carton.", "Check the number."
    WRONG_SPINDLE = "wrong-spindle", "The spindle holds discs of another product.", "Take it away and scan the right spindle."
    WRONG_STAMPER = "wrong-stamper", "The stamper is cut for another disc.", "Put it back and fetch the right one."
    WRONG_SYMBOLOGY = "wrong-symbology", "The code came in a kind of barcode that does not carry such codes here.", "Scan the right label; check the scanner's settings."
    WRONG_THING = "wrong-thing", "Something else was scanned than was asked for.", "Scan what is asked for."
    WRONG_TITLE = "wrong-title", "The piece is of another title.", "Put it aside and scan STOP."
    WRONG_TITLE_CARTON = "wrong-title-carton", "The carton holds another title.", "Take it away."
    WRONG_VARIANT = "wrong-variant", "The item is not in this kit.", "Put it aside and scan the one that is asked for."
    # fmt: on


def codes_as_markdown() -> str:
    """Return the reference page of all codes, as it stands in the guide."""
    rows = "\n".join(f"| `{code}` | {code.meaning} | {code.to_do} |" for code in FindingCode)
    return _PAGE + rows + "\n"


_PAGE = """# Finding codes

For: who reads a code and wants to know what to do

Each refused scan, and each count that does not add up, is recorded with a code. `runout findings` lists what was
recorded, `runout findings --codes` prints this table, and `runout findings --finding CODE` shows only one kind.

| code | what it means | what to do |
|---|---|---|
"""
