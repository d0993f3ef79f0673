"""The trade's tables, each with a filter."""

from answers import errors, only, refused, told
from evenround import Client
from evenround.api.tables import list_body_sizes, list_hooks, list_stitches, list_yarn_weights
from evenround.models import BodySizeList, HookList, StitchList, YarnWeightList


def yarn_weights(client: Client) -> str:
    weight = only(told(list_yarn_weights.sync_detailed(client=client, name="aran"), YarnWeightList).items)
    assert (weight.number, weight.crochet.least, weight.crochet.most) == (4, 11, 14)
    return f"aran is {weight.number}, {weight.name}"


def hooks(client: Client) -> str:
    hook = only(told(list_hooks.sync_detailed(client=client, mm=5.5), HookList).items)
    assert (hook.us, hook.uk, hook.kind) == ("I-9", "5", "yarn")
    steel = told(list_hooks.sync_detailed(client=client, kind="steel"), HookList).items
    assert len(steel) > 5
    assert all(hook.kind == "steel" for hook in steel)
    return f"5.5 mm is {hook.us}; {len(steel)} of steel"


def stitches(client: Client) -> str:
    stitch = only(told(list_stitches.sync_detailed(client=client, name="dc", terms="uk"), StitchList).items)
    assert (stitch.name, stitch.us.term, stitch.turning_chain) == ("single-crochet", "single crochet", 1)
    return f"UK dc is {stitch.us.term} in the US"


def body_sizes(client: Client) -> str:
    items = told(list_body_sizes.sync_detailed(client=client, table="head"), BodySizeList).items
    heads = [item for item in items if item.size == "baby" and item.measure == "head circumference"]
    baby = only([item for item in heads if item.default])
    assert (baby.low.cm, baby.low.in_, baby.high.cm, baby.high.in_) == (35.5, 14, 40.5, 16)
    assert all(item.table == "head" for item in items)
    problem = refused(list_body_sizes.sync_detailed(client=client, table="heads"), 422, "invalid-request")
    assert only(errors(problem)).parameter == "table"
    return f"{len(items)} rows about heads; a baby's is {baby.low.cm} to {baby.high.cm} cm"
