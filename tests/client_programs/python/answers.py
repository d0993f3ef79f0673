"""What every step wants of an answer: its data, or the refusal that was meant to come."""

from typing import TypeVar

from evenround.models import ProblemDetails, RequestError
from evenround.types import Response, Unset

Anything = TypeVar("Anything")
Wanted = TypeVar("Wanted")


def told(answer: Response[Anything], wanted: type[Wanted]) -> Wanted:
    """What an answer says that must not be a refusal."""
    assert isinstance(answer.parsed, wanted), f"{answer.status_code}: {answer.content!r}"
    return answer.parsed


def refused(answer: Response[Anything], status: int, kind: str) -> ProblemDetails:
    """The refusal of what must not be done, of this status and kind."""
    problem = told(answer, ProblemDetails)
    assert (answer.status_code, problem.status, problem.type_) == (status, status, f"/problems/{kind}"), problem
    assert answer.headers["content-type"] == "application/problem+json"
    assert problem.request_id == answer.headers["x-request-id"]
    return problem


def errors(problem: ProblemDetails) -> list[RequestError]:
    """What is wrong with a request, place by place."""
    assert not isinstance(problem.errors, Unset), problem
    return problem.errors


def given(value: object, kind: type[Wanted]) -> Wanted:
    """A field that may be left out, and must not be here."""
    assert isinstance(value, kind), f"{value!r} is no {kind.__name__}"
    return value


def only(items: list[Wanted]) -> Wanted:
    """The one item of a list that must have one."""
    assert len(items) == 1, f"there are {len(items)}"
    return items[0]
