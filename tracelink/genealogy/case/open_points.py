"""What is not done or not known of a containment case."""

from tracelink.genealogy.case.standing import CaseStatus
from tracelink.ledger.count_words import counted, grouped


def open_points(status: CaseStatus) -> list[str]:
    """Sentences on what is not done or not known; closing a case shows and keeps them."""
    found: list[str] = []
    words = status.words
    for line in status.lines:
        who = line.consignee
        if line.notice is None:
            found.append(f"{who}: no notice is recorded.")
        if line.reply is None:
            found.append(f"{who}: no reply is recorded.")
        if line.unaccounted > 0:
            found.append(
                f"{who}: of {counted(line.may_hold, words.one)} in {words.holders} that may hold one, {grouped(line.unaccounted)} not accounted for."
            )
        if line.unaccounted < 0:
            found.append(
                f"{who}: {grouped(-line.unaccounted)} more {words.many} are accounted for than the {grouped(line.may_hold)} in {words.holders} that may "
                f"hold one: check the reply."
            )
        if line.returned_difference:
            found.append(
                f"{who}: says it returned {counted(abs(line.returned_difference), words.one)} "
                f"{'more' if line.returned_difference > 0 else 'fewer'} than the {grouped(line.returned)} booked here."
            )
        if line.check is not None and line.check.result != "ok":
            found.append(f"{who}: the effectiveness check found: {line.check.result}.")
        if line.to_check and line.check is None:
            found.append(f"{who}: is drawn for an effectiveness check; none is recorded.")
    if status.loose:
        found.append(f"{counted(status.loose, 'disc')} came back without a carton, in no consignee's line.")
    return found + _of_draw(status)


def _of_draw(status: CaseStatus) -> list[str]:
    if status.draw is None:
        return ["Nobody has decided how many consignees are checked for effect."] if status.lines else []
    now = len(status.lines)
    if status.draw.among != now:
        return [
            f"The draw for effectiveness checks was made among {counted(status.draw.among, 'consignee')}; now there {'is' if now == 1 else 'are'} {now}."
        ]
    return []
