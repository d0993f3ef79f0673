"""What is kept: a yarn, and a design through all that may happen to it."""

from math import ceil
from urllib.parse import parse_qs, urlsplit
from uuid import uuid4

from answers import given, only, refused, told
from evenround import AuthenticatedClient, Client
from evenround.api.designs import (
    compare_revisions,
    create_design,
    create_report,
    get_chart,
    get_counts,
    get_design,
    get_pattern,
    get_revision,
    list_designs,
    list_published,
    list_reports,
    list_revisions,
    publish_design,
    replace_design,
    restore_revision,
    retire_design,
    unpublish_design,
)
from evenround.api.yarn import estimate_yarn
from evenround.api.yarns import create_yarn, delete_yarn, get_yarn, list_yarns, replace_yarn
from evenround.models import (
    AffectedAnswer,
    BallRequest,
    ChangesAnswer,
    CountsAnswer,
    DesignedRequest,
    DesignItem,
    DesignList,
    DesignReference,
    DesignRequest,
    EvidenceRequest,
    Gauge,
    GradingRequest,
    LengthQuantity,
    ProblemDetails,
    PublicationAnswer,
    PublishedList,
    PublishRequest,
    ReportItem,
    ReportList,
    ReportRequest,
    RevisionItem,
    RevisionList,
    RowCountAnswer,
    RowStateAnswer,
    SampleRequest,
    UsedRequest,
    WeightQuantity,
    YardageAnswer,
    YarnItem,
    YarnList,
    YarnQuantity,
    YarnRequest,
)
from shelf import plan


def a_yarn(client: Client) -> str:
    body = YarnRequest(
        name="Eelgrass Worsted",
        ball=BallRequest(length=LengthQuantity(m=170), weight=WeightQuantity(g=100)),
        yarn_weight=1,
    )
    key = str(uuid4())
    answer = create_yarn.sync_detailed(client=client, body=body, idempotency_key=key)
    made = told(answer, YarnItem)
    assert answer.status_code == 201
    assert answer.headers["location"] == f"/v1/yarns/{made.id}"
    assert made.label.notes != [], "170 m in 100 g is thick for a weight 1"
    again = told(create_yarn.sync_detailed(client=client, body=body, idempotency_key=key), YarnItem)
    assert again.id == made.id, "sent twice, it is kept once"
    seen = answer.headers["etag"]
    body.yarn_weight = 4
    yarn = str(made.id)
    changed = told(replace_yarn.sync_detailed(yarn, client=client, body=body, if_match=seen), YarnItem)
    assert (changed.yarn_weight, changed.label.notes) == (4, [])
    refused(replace_yarn.sync_detailed(yarn, client=client, body=body, if_match=seen), 412, "stale")
    assert only(told(list_yarns.sync_detailed(client=client, yarn_weight=4), YarnList).items).id == made.id
    assert delete_yarn.sync_detailed(yarn, client=client).status_code == 204
    refused(get_yarn.sync_detailed(yarn, client=client), 404, "not-found")
    return f"{changed.name}, kept, changed and removed"


def cap(last: str) -> str:
    """A cap of three rounds in two sizes."""
    return (
        "Wigeon Cap\nSizes: Small (Large)\n\nCap\nRnd 1: 6 (8) sc in magic ring. 6 (8) sc.\n"
        f"Rnd 2: 2 sc in each st around. 12 (16) sc.\nRnd 3: {last}\n"
    )


def a_design(client: Client) -> str:
    gauge = Gauge(stitches=18, rows=20, over=LengthQuantity(in_=4))
    first = DesignRequest("Wigeon Cap", pattern=cap("Sc in each st around. 12 (16) sc."), gauge=gauge)
    last = "*Sc in next st, 2 sc in next st; rep from * around. 18 (24) sc."
    second = DesignRequest("Wigeon Cap", pattern=cap(last), gauge=gauge)

    # Sent twice, kept once; the same key for another design is refused.
    key = str(uuid4())
    answer = create_design.sync_detailed(client=client, body=first, idempotency_key=key)
    made = told(answer, DesignItem)
    assert answer.status_code == 201
    again = create_design.sync_detailed(client=client, body=first, idempotency_key=key)
    assert told(again, DesignItem).id == made.id
    other = create_design.sync_detailed(client=client, body=second, idempotency_key=key)
    refused(other, 422, "idempotency-key-used")
    id_ = str(made.id)

    # Read with its tag, and not sent again to who has it.
    answer = get_design.sync_detailed(id_, client=client)
    read = told(answer, DesignItem)
    assert (read.revision, read.pattern, read.gauge) == (1, first.pattern, gauge)
    seen = answer.headers["etag"]
    assert get_design.sync_detailed(id_, client=client, if_none_match=seen).status_code == 304

    # Changed only by who has seen it.
    changed = told(replace_design.sync_detailed(id_, client=client, body=second, if_match=seen), DesignItem)
    assert (changed.revision, changed.pattern) == (2, second.pattern)
    refused(replace_design.sync_detailed(id_, client=client, body=first, if_match=seen), 412, "stale")
    # The generated function does not let the header be forgotten, so this goes around it.
    forgotten = client.get_httpx_client().put(f"/v1/designs/{id_}", json=first.to_dict())
    problem = ProblemDetails.from_dict(forgotten.json())
    assert (forgotten.status_code, problem.type_) == (428, "/problems/if-match-needed")

    revisions = told(list_revisions.sync_detailed(id_, client=client), RevisionList)
    assert [item.revision for item in revisions.items] == [2, 1]
    old = told(get_revision.sync_detailed(id_, 1, client=client), RevisionItem)
    assert old.pattern == first.pattern

    # What changed, as data, and for a maker who is past it.
    changes = told(
        compare_revisions.sync_detailed(id_, client=client, from_=1, to=2, size="Large", row=3), ChangesAnswer
    )
    row = only([row for size in changes.sizes if size.size == "Large" for row in size.rows])
    before, now = given(row.before, RowStateAnswer), given(row.now, RowStateAnswer)
    assert (row.kind, before.made, now.made) == ("work", 16, 24)
    affected = given(changes.affected, AffectedAnswer)
    assert (affected.affected, affected.back_to) == (True, "Rnd 2")

    # Published: its counts are open to everybody.
    slug = PublishRequest(slug="wigeon-cap")
    published = told(publish_design.sync_detailed(id_, client=client, body=slug), DesignItem)
    publication = given(published.published, PublicationAnswer)
    assert (publication.slug, publication.revision) == ("wigeon-cap", 2)
    counts = told(get_counts.sync_detailed("wigeon-cap", client=client), CountsAnswer)
    assert (counts.id, counts.sizes) == (made.id, ["Small", "Large"])
    assert counts.published_at == publication.at
    stitches = [given(count, RowCountAnswer).stitches for count in counts.pieces[0].rows[-1].counts]
    assert stitches == [18, 24]
    listed = told(list_published.sync_detailed(client=client), PublishedList)
    assert "wigeon-cap" in [item.slug for item in listed.items]
    assert "24 sc" in told(get_pattern.sync_detailed(id_, client=client, size="Large"), str)
    chart = told(get_chart.sync_detailed(id_, client=client, size="Small", hand="left"), str)
    assert "<svg" in chart
    assert chart.rstrip().endswith("</svg>")

    # A tester's report, which the estimate of the yarn goes by.
    used = [UsedRequest(yarn=YarnQuantity(m=21.5))]
    report = ReportRequest(size="Small", used=used)
    reported = told(create_report.sync_detailed(id_, client=client, body=report), ReportItem)
    assert reported.used == used, "what was measured is no weight"
    assert told(list_reports.sync_detailed(id_, client=client), ReportList).items == [reported]
    estimate = DesignedRequest(design=DesignReference(id=id_))
    yarn = told(estimate_yarn.sync_detailed(client=client, body=estimate), YardageAnswer)
    assert yarn.basis == "reports"

    seen = get_design.sync_detailed(id_, client=client).headers["etag"]
    answer = restore_revision.sync_detailed(id_, 1, client=client, if_match=seen)
    restored = told(answer, DesignItem)
    assert (restored.revision, restored.pattern) == (3, first.pattern)
    answer = unpublish_design.sync_detailed(id_, client=client, if_match=answer.headers["etag"])
    assert not told(answer, DesignItem).published
    refused(get_counts.sync_detailed("wigeon-cap", client=client), 404, "not-found")
    gone = retire_design.sync_detailed(id_, client=client, if_match=answer.headers["etag"])
    assert gone.status_code == 204
    retired = told(list_designs.sync_detailed(client=client, retired="yes"), DesignList)
    assert made.id in [item.id for item in retired.items]
    return f"{made.title}: 3 revisions, published, reported on, retired"


def a_design_from_a_plan(client: Client) -> str:
    """What was sent is what is read, so that it can be changed and sent back."""
    graded = plan("eelgrass-mitts.json")
    evidence = EvidenceRequest(sample=SampleRequest(size="child", used=YarnQuantity(m=61.5)))
    body = DesignRequest("Eelgrass Mitts, again", plan=graded, evidence=evidence)
    id_ = str(told(create_design.sync_detailed(client=client, body=body), DesignItem).id)
    answer = get_design.sync_detailed(id_, client=client)
    read = told(answer, DesignItem)
    assert (read.plan, read.evidence) == (graded, evidence)
    assert given(read.graded_pattern, str).startswith("Eelgrass Mitts")
    sent_back = DesignRequest(read.title, plan=given(read.plan, GradingRequest), evidence=evidence)
    seen = answer.headers["etag"]
    changed = told(replace_design.sync_detailed(id_, client=client, body=sent_back, if_match=seen), DesignItem)
    assert changed.graded_pattern == read.graded_pattern
    return f"revision {changed.revision} grades as revision {read.revision} did"


def the_list(client: Client) -> str:
    seen: list[str] = []
    pages = 0
    page = told(list_designs.sync_detailed(client=client, limit=2), DesignList)
    while True:
        seen += [str(item.id) for item in page.items]
        pages += 1
        if page.next_ is None:
            break
        # It is the address of the next page; a generated function wants the cursor in it.
        cursor = only(parse_qs(urlsplit(page.next_).query)["cursor"])
        page = told(list_designs.sync_detailed(client=client, limit=2, cursor=cursor), DesignList)
    assert len(set(seen)) == len(seen), "a design came twice"
    assert len(seen) > 2
    assert pages == ceil(len(seen) / 2)
    return f"{len(seen)} designs on {pages} pages"


def a_wrong_key(client: Client) -> str:
    stranger = AuthenticatedClient(base_url=str(client.get_httpx_client().base_url), token="nobody")
    return refused(list_designs.sync_detailed(client=stranger), 401, "key-refused").title
