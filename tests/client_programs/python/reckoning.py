"""Gauge, grading and yarn."""

from answers import errors, given, only, refused, told
from evenround import Client
from evenround.api.gauge import convert_gauge, judge_checkpoint, measure_gauge
from evenround.api.grading import grade_design
from evenround.api.lengthening import lengthen_piece
from evenround.api.verification import create_verification
from evenround.api.yarn import estimate_yarn, substitute_yarn
from evenround.models import (
    BallRequest,
    BandRequest,
    CheckpointAnswer,
    CheckpointRequest,
    DesignYarn,
    EaseLength,
    EvidenceRequest,
    ExtraRequest,
    FlatCircleAnswer,
    FollowAnswer,
    Gauge,
    GaugeAnswer,
    GaugeConversionAnswer,
    GaugeConversionRequest,
    GaugeRequest,
    GradingAnswer,
    GradingRequest,
    HookSize,
    LengthEstimate,
    LengtheningAnswer,
    LengtheningRequest,
    LengthQuantity,
    LengthRange,
    MeasureDemand,
    MultipleRequest,
    OwnSize,
    OwnSizeMeasures,
    PieceRequest,
    PieceSize,
    ReadingRequest,
    RepeatRequest,
    RowGaugeRequest,
    SectionRequest,
    SizeOfDesign,
    SizeRequest,
    SubstituteYarn,
    SubstitutionAnswer,
    SubstitutionRequest,
    SwatchRequest,
    SwatchRequestStitches,
    Verification,
    VerificationRequest,
    WeightFigure,
    WeightQuantity,
    YardageAnswer,
    YardageRequest,
    YarnLengthAnswer,
    YarnQuantity,
)
from shelf import pattern, plan
from verifying import made


def inches(figure: float) -> LengthQuantity:
    return LengthQuantity(in_=figure)


def gauge(stitches: float, rows: float) -> Gauge:
    return Gauge(stitches=stitches, rows=rows, over=inches(4))


def a_swatch(client: Client) -> str:
    body = GaugeRequest(
        stitch="hdc",
        worked="rounds",
        washed=True,
        readings=[
            ReadingRequest(stitches=13, rows=10, over=inches(4)),
            ReadingRequest(stitches=26.5, width=inches(8), rows=15, height=inches(6)),
        ],
    )
    answer = told(measure_gauge.sync_detailed(client=client, body=body), GaugeAnswer)
    stitches = answer.gauge.stitches
    assert (stitches.value, stitches.low, stitches.high) == (13.17, 12.59, 13.75)
    circle = given(answer.flat_circle, FlatCircleAnswer)
    assert (circle.whole, circle.effect) == (8, "flat")
    assert answer.fits_yarn_weights == [3, 4]
    return f"{stitches.value} stitches to {answer.gauge.over.in_} in"


def a_plan(client: Client) -> str:
    graded = told(grade_design.sync_detailed(client=client, body=plan("eelgrass-mitts.json")), GradingAnswer)
    assert graded.verification.holds
    names = ["baby", "toddler", "child", "woman", "man"]
    assert [size.name for size in graded.sizes] == names
    cuffs = [size.sections[0].stitches.end for size in graded.sizes]
    assert cuffs == [14, 19, 23, 27, 33]
    body = VerificationRequest(pattern=graded.pattern, terms="us")
    again = told(create_verification.sync_detailed(client=client, body=body), Verification)
    assert again.holds
    assert again.sizes == names
    assert made(again, "Rnd 1") == cuffs
    width = graded.sizes[0].sections[0].finished["circumference"]
    assert abs(width.cm - width.in_ * 2.54) < 0.01
    return f"{len(names)} sizes, each verified: {', '.join(map(str, cuffs))} stitches at the cuff"


def what_collides(client: Client) -> str:
    """Two sections that must meet with equal counts and want measures that are far apart."""
    measures = OwnSizeMeasures()
    measures["head"] = inches(20)
    measures["brim"] = inches(30)
    wider = MeasureDemand(of="brim", ease=EaseLength(in_=1))
    body = GradingRequest(
        title="Samphire Tube",
        gauge=Gauge(stitch="sc", stitches=16, rows=18, over=inches(4)),
        sizes=[OwnSize(name="Only", measures=measures)],
        pieces=[
            PieceRequest(
                name="Tube",
                worked="joined-rounds",
                start="chain",
                sections=[
                    SectionRequest("Band", "even", circumference=MeasureDemand(of="head"), length=inches(2)),
                    SectionRequest("Brim", "even", joins="equal", circumference=wider, length=inches(2)),
                ],
            )
        ],
    )
    problem = refused(grade_design.sync_detailed(client=client, body=body), 422, "invalid-request")
    error = next(error for error in errors(problem) if error.collides_with)
    assert given(error.pointer, str).startswith("/pieces/0/sections/"), problem
    return f"{error.pointer} collides with {error.collides_with}"


def the_yarn(client: Client) -> str:
    ball = BallRequest(length=LengthQuantity(m=170), weight=WeightQuantity(g=100))
    stitches = SwatchRequestStitches()
    stitches["ch"] = 21
    stitches["hdc"] = 400
    swatch = SwatchRequest(stitches=stitches, used=YarnQuantity(g=19.9), step=YarnQuantity(g=0.1))
    body = YardageRequest(
        pattern=pattern("holds/tidepool-coaster.txt"),
        yarns=[BandRequest(colour=colour, yarn_weight=4, ball=ball) for colour in "AB"],
        evidence=EvidenceRequest(swatches=[swatch]),
        extras=[ExtraRequest(kind="pom-pom", colour="A", across=LengthQuantity(cm=6), wraps=120)],
    )
    answer = told(estimate_yarn.sync_detailed(client=client, body=body), YardageAnswer)
    assert answer.basis == "one-swatch"
    first, second = answer.sizes[0].colours
    assert (first.colour, second.colour) == ("A", "B")
    # Counted by hand; a pom-pom is no stitch.
    assert first.stitches.to_dict() == {"ch": 12, "join": 5, "sc": 140, "sc2tog": 10, "dc": 34}
    assert second.stitches.to_dict() == {"ch": 8, "join": 6, "sc": 244, "hdc": 20, "dc": 67}
    length = given(first.length, LengthRange)
    assert length.low.m < length.likely.m < length.high.m
    assert first.balls == 1
    return f"{length.likely.m} m of A, {given(second.length, LengthRange).likely.m} m of B"


def another_gauge(client: Client) -> str:
    body = GaugeConversionRequest(
        pattern_gauge=gauge(13, 10),
        own_gauge=gauge(14, 10.5),
        hook=LengthQuantity(mm=5),
        multiple=MultipleRequest(of=4),
        wanted=inches(21),
        sizes=[SizeRequest("Small", stitches=68, rows=20), SizeRequest("Medium", stitches=72, rows=21)],
    )
    answer = told(convert_gauge.sync_detailed(client=client, body=body), GaugeConversionAnswer)
    follow = given(answer.follow, FollowAnswer)
    assert follow.name == "Medium"
    same = answer.sizes[0].same_size
    assert (same.stitches, same.rows) == (72, 21)
    hook = given(answer.hook_advice.try_, HookSize)
    assert (hook.mm, hook.us) == (5.5, "I-9")
    return f"follow {follow.name}"


def on_the_way(client: Client) -> str:
    body = CheckpointRequest(
        expected=inches(6.5),
        measured=inches(6),
        measured_as="across",
        hook=LengthQuantity(mm=4),
        finished=inches(19),
    )
    answer = told(judge_checkpoint.sync_detailed(client=client, body=body), CheckpointAnswer)
    assert (answer.verdict, answer.difference_percent) == ("small", -7.7)
    assert (answer.hook_advice.direction, given(answer.hook_advice.try_, HookSize).mm) == ("up", 4.5)
    assert given(answer.finished_if_you_go_on, LengthEstimate).in_ == 17.54
    return f"{answer.verdict}: {answer.difference_percent} %"


def longer(client: Client) -> str:
    def size(name: str, stitches: int, grams: float) -> PieceSize:
        length, used = LengthQuantity(cm=9), YarnQuantity(g=grams)
        return PieceSize(name, rows=16, repeats=1, stitches=stitches, length=length, used=used)

    body = LengtheningRequest(
        gauge=RowGaugeRequest(rows=16, over=LengthQuantity(cm=10), worked="rounds"),
        worked="rounds",
        repeat=RepeatRequest(rows=2, stitches_per_row=[28, 32]),
        more=2,
        ball=BallRequest(weight=WeightQuantity(g=25)),
        sizes=[size("Child", 480, 38), size("Small", 542, 43)],
    )
    answer = told(lengthen_piece.sync_detailed(client=client, body=body), LengtheningAnswer)
    after = answer.sizes[1].change.after
    # Yarn that was weighed is answered by weight.
    yarn = given(after.yarn, WeightFigure)
    assert (after.rows, after.stitches, yarn.g, after.balls) == (20, 670, 53.15, 3)
    return f"Small: {after.rows} rounds and {yarn.g} g"


def another_yarn(client: Client) -> str:
    body = SubstitutionRequest(
        design=DesignYarn(
            ball=BallRequest(length=LengthQuantity(m=170), weight=WeightQuantity(g=100)),
            yarn_weight=4,
            single_crochet_over_4_in=13,
        ),
        sizes=[SizeOfDesign(name="Child", yarn=YarnQuantity(m=96))],
        substitute=SubstituteYarn(
            ball=BallRequest(length=LengthQuantity(m=175), weight=WeightQuantity(g=50)), yarn_weight=2
        ),
    )
    answer = told(substitute_yarn.sync_detailed(client=client, body=body), SubstitutionAnswer)
    child = only(answer.sizes)
    assert (answer.strands, child.balls, given(child.length, YarnLengthAnswer).m) == (2, 2, 192)
    return f"{answer.strands} strands, {child.balls} balls"
