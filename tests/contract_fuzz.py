"""What the contract fuzzer has to know that an OpenAPI document cannot say."""

import schemathesis
from schemathesis.core.parameters import ParameterLocation

WORDS = {
    "terms": {"us", "uk"},
    "turning-chain": {"counts", "does-not-count"},
    "skipped-chains": {"counts", "does-not-count"},
    "number-before-stitch": {"one-in-each", "all-in-one-stitch"},
    "repeat-number": {"more", "in-all"},
    "structure": {"true", "false"},
}


STREAMS = ("application/x-ndjson", "application/jsonl", "application/json-seq")


@schemathesis.serializer(*STREAMS)
def stream(ctx, value):
    """A text as it is."""
    return value.encode() if isinstance(value, str) else value


def sent(query):
    """The parameters that reach the wire: nothing and an empty list do not."""
    for name, value in (query or {}).items():
        for one in value if isinstance(value, list) else [value]:
            if one is not None:
                yield name, str(one).lower() if isinstance(one, bool) else str(one)


@schemathesis.hook
def filter_case(context, case):
    """Leaves out requests that only look wrong: any text is a bare pattern, and any word may name a size."""
    if case.method != "POST" or case.meta is None or not case.meta.generation.mode.is_negative:
        return True
    query = list(sent(case.query)) if isinstance(case.query, dict) or case.query is None else [("", "")]
    # Any text is a stream: each line that is no request is answered by a problem of its own.
    if case.media_type in STREAMS:
        return False
    # So is each item of an array; what is no array is refused as a whole.
    if case.path.endswith("/batch") and isinstance(case.body, list):
        return bool(query)
    if case.media_type in ("text/plain", "text/html", "text/markdown"):
        return any(name != "size" and value not in WORDS.get(name, ()) for name, value in query)
    body = case.meta.components.get(ParameterLocation.BODY)
    return bool(query) or (body is not None and body.mode.is_negative)
