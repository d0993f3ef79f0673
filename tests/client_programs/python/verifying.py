"""A pattern that holds, and one that is mended by the fix that is offered."""

from answers import errors, only, refused, told
from evenround import Client
from evenround.api.verification import create_verification, get_rule, list_rules
from evenround.models import (
    Fix,
    Gauge,
    LengthQuantity,
    RuleList,
    RulePage,
    Verification,
    VerificationRequest,
)
from shelf import pattern


def made(verification: Verification, label: str) -> list[int | None]:
    """What a row makes in each size; None where a size does not work it."""
    row = only([row for piece in verification.pieces for row in piece.rows if row.label == label])
    return [None if count is None else count.made for count in row.counts]


def mended(text: str, fix: Fix) -> str:
    """A text with a fix put in.

    Places are counted in bytes of UTF-8, and later ones come first, so that no edit moves another.
    """
    bare = text.encode()
    for edit in sorted(fix.edits, key=lambda edit: edit.start, reverse=True):
        bare = bare[: edit.start] + edit.text.encode() + bare[edit.end :]
    return bare.decode()


def what_holds(client: Client) -> str:
    body = VerificationRequest(pattern=pattern("holds/eelgrass-mitts.txt"), terms="uk")
    answer = told(create_verification.sync_detailed(client=client, body=body), Verification)
    assert answer.holds
    assert answer.terms == "uk"
    assert answer.sizes == ["Child", "Small", "Medium", "Large"]
    coverage = answer.coverage
    assert (coverage.rows, coverage.read, coverage.partial, coverage.unread) == (14, 14, 0, 0)
    assert answer.findings == []
    assert made(answer, "8th round") == [28, 32, 36, 40]
    assert made(answer, "11th round") == [None, None, 36, 40]
    return f"{coverage.rows} rows hold in {', '.join(answer.sizes)}"


def what_is_mended(client: Client) -> str:
    text = pattern("faulty/sandpiper-ball.txt")
    before = told(create_verification.sync_detailed(client=client, body=VerificationRequest(text)), Verification)
    assert not before.holds
    finding = only(before.findings)
    assert (finding.rule, finding.severity, finding.row) == ("count-mismatch", "error", "Rnd 7")
    assert (finding.expected, finding.actual, finding.suspect) == (44, 42, "count")
    assert (finding.span.line, finding.span.column) == (22, 53)
    assert text.encode()[finding.span.start : finding.span.end] == b"44"
    fix = finding.fixes[0]
    body = VerificationRequest(mended(text, fix))
    after = told(create_verification.sync_detailed(client=client, body=body), Verification)
    assert after.holds
    assert after.findings == []
    page = told(get_rule.sync_detailed(finding.rule, client=client), RulePage)
    assert page.link == finding.help_
    assert (page.fails.holds, page.repaired.holds) == (False, True)
    return f"{finding.row}: {fix.message}, and then it holds"


def what_is_refused(client: Client) -> str:
    body = VerificationRequest(
        pattern="Rnd 1: 6 sc in magic ring. (6)", sizes=[], gauge=Gauge(stitches=0, over=LengthQuantity(in_=4))
    )
    problem = refused(create_verification.sync_detailed(client=client, body=body), 422, "invalid-request")
    places = sorted(str(error.pointer) for error in errors(problem))
    assert places == ["/gauge/stitches", "/sizes"]
    return f"{problem.title}: {', '.join(places)}"


def the_rules(client: Client) -> str:
    rules = told(list_rules.sync_detailed(client=client), RuleList)
    assert rules.next_ is None
    named = {rule.name: rule.severity for rule in rules.items}
    assert named["count-mismatch"] == "error"
    assert len(named) == len(rules.items)
    return f"{len(named)} rules"
