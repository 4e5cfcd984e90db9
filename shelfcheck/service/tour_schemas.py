"""The shapes of the tour routes, for the OpenAPI document; the core reads what comes in."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from shelfcheck.service.schemas import PanelSchema, ProblemSchema

_LANG = fields.String(validate=validate.OneOf(("en", "es")))
_STATE = validate.OneOf(("waiting", "open", "revealed", "closed"))
_ROUND = validate.OneOf(("before", "after"))


class SpreadSchema(Schema):
    """Values in rising order with their middle; null where there are none."""

    values = fields.List(fields.Float(), required=True)
    median = fields.Float(allow_none=True, required=True)
    smallest = fields.Float(allow_none=True, required=True)
    largest = fields.Float(allow_none=True, required=True)


class GroupAmountsSchema(SpreadSchema):
    """How many of one measure people said."""

    measure = fields.String(required=True)
    cooked = fields.Boolean(required=True)


class GroupNutrientSchema(SpreadSchema):
    """What the amounts hold of a nutrient; ``serving`` is what the label says."""

    unit = fields.String(required=True)
    serving = fields.Float(required=True)


class GroupServingSchema(Schema):
    """The label's serving, and how many of the stop's measure it is."""

    text = fields.String(required=True)
    measure = fields.String(required=True)
    count = fields.Float(allow_none=True, required=True)


class GroupSchema(Schema):
    """What the amounts of a group hold; ``left_out`` cannot be told of the panel any more."""

    answers = fields.Integer(required=True)
    late = fields.Integer(required=True)
    left_out = fields.Integer(required=True)
    amounts = fields.List(fields.Nested(GroupAmountsSchema), required=True)
    servings = fields.Nested(SpreadSchema, required=True)
    nutrients = fields.Dict(fields.String(), fields.Nested(GroupNutrientSchema), required=True)
    serving = fields.Nested(GroupServingSchema, required=True)


class StopPlanSchema(Schema):
    """A food to stop at; ``id`` where the tour has it already."""

    id = fields.Integer()
    name = fields.String(required=True)
    question = fields.String()
    measure = fields.String(load_default="fist")
    food = fields.String(allow_none=True)
    panel = fields.Nested(PanelSchema, required=True)


class TourPlanSchema(Schema):
    """What an educator writes."""

    title = fields.String(required=True)
    lang = _LANG
    held_on = fields.Date(allow_none=True)
    meal_carbohydrate_g = fields.Float(allow_none=True)
    show_plan = fields.Boolean()
    stops = fields.List(fields.Nested(StopPlanSchema))


class SampleQuery(Schema):
    """The language of the sample."""

    lang = _LANG


class StateQuery(Schema):
    """The state that a stop is to have."""

    state = fields.String(required=True, validate=_STATE)


class LeadStopSchema(StopPlanSchema):
    """A stop as the educator sees it; ``group`` once it is revealed."""

    state = fields.String(required=True, validate=_STATE)
    answered = fields.Integer(required=True)
    group = fields.Nested(GroupSchema, allow_none=True, required=True)


class PractisedSchema(Schema):
    """How many phones sent a measure of each round."""

    before = fields.Integer(required=True)
    after = fields.Integer(required=True)


class TourSchema(Schema):
    """Everything the educator sees; ``version`` is the ETag without its quotes, for If-Match."""

    version = fields.String(required=True)
    code = fields.String(required=True)
    ended = fields.Boolean(required=True)
    kept_until = fields.Date(required=True)
    title = fields.String(required=True)
    lang = fields.String(required=True)
    held_on = fields.Date(allow_none=True, required=True)
    meal_carbohydrate_g = fields.Float(allow_none=True, required=True)
    show_plan = fields.Boolean(required=True)
    phones = fields.Integer(required=True)
    practised = fields.Nested(PractisedSchema, required=True)
    stops = fields.List(fields.Nested(LeadStopSchema), required=True)


class MadeSchema(Schema):
    """A new tour; the token is told this once."""

    token = fields.String(required=True)
    code = fields.String(required=True)
    tour = fields.Nested(TourSchema, required=True)


class LinkSchema(Schema):
    """The only token that opens the tour from now on."""

    token = fields.String(required=True)


class ChangedSchema(ProblemSchema):
    """The tour was changed elsewhere; here it is."""

    tour = fields.Nested(TourSchema, required=True)


class ErrorsSchema(Schema):
    """Errors of a practised measure, in per cent."""

    n = fields.Integer(required=True)
    median_absolute_percent = fields.Float(required=True)
    median_signed_percent = fields.Float(required=True)
    within_percent = fields.Float(required=True)


class PairedSchema(Schema):
    """How many phones poured in both rounds, and how many of them came closer."""

    n = fields.Integer(required=True)
    closer = fields.Integer(required=True)


class PracticeErrorsSchema(Schema):
    """A measure that was practised: what it stands for, the errors of each round, and who came closer."""

    measure = fields.String(required=True)
    unit = fields.String(required=True)
    target = fields.Float(required=True)
    before = fields.Nested(ErrorsSchema, allow_none=True, required=True)
    after = fields.Nested(ErrorsSchema, allow_none=True, required=True)
    paired = fields.Nested(PairedSchema, required=True)


class ReportStopSchema(Schema):
    """A stop with its group, revealed or not."""

    name = fields.String(required=True)
    question = fields.String(required=True)
    state = fields.String(required=True, validate=_STATE)
    group = fields.Nested(GroupSchema, required=True)


class ReportSchema(Schema):
    """What an educator takes home; no answer tells whose it is."""

    title = fields.String(required=True)
    code = fields.String(required=True)
    lang = fields.String(required=True)
    phones = fields.Integer(required=True)
    stops = fields.List(fields.Nested(ReportStopSchema), required=True)
    practice = fields.List(fields.Nested(PracticeErrorsSchema), required=True)
    yardstick = fields.Dict(required=True)


class PhoneStopSchema(Schema):
    """A stop as phones see it; the panel once it is open, the group once it is revealed."""

    id = fields.Integer(required=True)
    name = fields.String(required=True)
    question = fields.String(required=True)
    measure = fields.String(required=True)
    state = fields.String(required=True, validate=_STATE)
    food = fields.String(allow_none=True, required=True)
    panel = fields.Nested(PanelSchema, allow_none=True, required=True)
    group = fields.Nested(GroupSchema, allow_none=True, required=True)


class PhoneTourSchema(Schema):
    """What a phone may see by now; the meal's carbohydrate only where the educator shows it."""

    version = fields.String(required=True)
    code = fields.String(required=True)
    title = fields.String(required=True)
    lang = fields.String(required=True)
    held_on = fields.Date(allow_none=True, required=True)
    meal_carbohydrate_g = fields.Float(allow_none=True, required=True)
    stops = fields.List(fields.Nested(PhoneStopSchema), required=True)


class PhoneQuery(Schema):
    """The random number of a phone, a UUID made for this one tour."""

    phone = fields.UUID(required=True)


class GuessQuery(PhoneQuery):
    """An amount, with the numbers of a measured hand where there are any."""

    count = fields.Float(required=True)
    measure = fields.String(required=True)
    cooked = fields.Boolean()
    hands = fields.Dict(fields.String(), fields.Float(), allow_none=True)


class GuessSchema(Schema):
    """An amount as it is kept."""

    count = fields.Float(required=True)
    measure = fields.String(required=True)
    cooked = fields.Boolean(required=True)
    hands = fields.Dict(fields.String(), fields.Float(), required=True)


class GuessedSchema(Schema):
    """An amount as it is kept; ``late`` when it came after the reveal."""

    guess = fields.Nested(GuessSchema, required=True)
    late = fields.Boolean(required=True)


class OwnGuessSchema(GuessedSchema):
    """An amount that this phone said at a stop."""

    stop = fields.Integer(required=True)


class PouredSchema(Schema):
    """What was poured for one of a measure, in the measure's own unit."""

    round = fields.String(required=True, validate=_ROUND)
    measure = fields.String(required=True)
    measured = fields.Float(required=True)


class PracticeQuery(PouredSchema):
    """What a phone's owner poured."""

    phone = fields.UUID(required=True)


class PractisedOneSchema(Schema):
    """What was poured, as it is kept."""

    practice = fields.Nested(PouredSchema, required=True)


class OwnSchema(Schema):
    """What one phone said and poured."""

    guesses = fields.List(fields.Nested(OwnGuessSchema), required=True)
    practice = fields.List(fields.Nested(PouredSchema), required=True)


class JoinedSchema(Schema):
    """The phone is counted."""

    joined = fields.Boolean(required=True)
