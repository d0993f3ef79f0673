"""Many patterns in one request."""

from answers import told
from evenround import Client
from evenround.api.verification import create_verification_batch
from evenround.models import BatchAnswer, BatchAnswers, BatchLine, BatchRefusal
from shelf import pattern


def a_shelf(client: Client) -> str:
    body = [
        BatchLine(id="mitts", pattern=pattern("holds/eelgrass-mitts.txt"), terms="uk"),
        BatchLine(id=2, pattern=pattern("faulty/sandpiper-ball.txt")),
        BatchLine(id="mislaid", pattern="Rnd 1: 6 sc in magic ring. (6)", sizes=["Small", "Small"]),
    ]
    answer = told(create_verification_batch.sync_detailed(client=client, body=list(body)), BatchAnswers)
    holds, slips, refused = answer.items
    assert isinstance(holds, BatchAnswer)
    assert (holds.index, holds.id, holds.holds) == (0, "mitts", True)
    assert isinstance(slips, BatchAnswer)
    assert (slips.id, slips.holds, slips.findings[0].rule) == (2, False, "count-mismatch")
    assert isinstance(refused, BatchRefusal)
    assert (refused.index, refused.problem.status) == (2, 422)
    summary = answer.summary
    assert (summary.items, summary.hold, summary.failed, summary.complete) == (3, 1, 1, True)
    return f"{summary.hold} of {summary.items} hold, {summary.failed} could not be worked"
