"""The shapes of the API, for requests and for the OpenAPI document.

What a panel may hold is decided in one place, ``panel_json.py``; here its shape is described. Faults
are named by their key in the word files (``fault.<name>``).
"""

from __future__ import annotations

from typing import Any

from marshmallow import EXCLUDE, RAISE, Schema, ValidationError, fields, validate

from shelfcheck.panel import MANDATORY, STATES
from shelfcheck.panel_json import COLUMNS
from shelfcheck.portion import COVERAGES
from shelfcheck.rules import nutrients

_Messages = dict[str, str | list[Any] | dict[Any, Any]]
_WORDS: _Messages = {"required": "missing", "null": "missing", "type": "not_an_object"}
_NUMBER: _Messages = _WORDS | {
    "invalid": "not_a_number",
    "too_large": "not_a_number",
    "special": "not_a_number",
}
_TEXT: _Messages = _WORDS | {"invalid": "not_a_text"}


class _Request(Schema):
    """A request refuses what it does not know, so that a slip of the pen shows."""

    error_messages = {"unknown": "unknown_field", "type": "not_an_object"}  # noqa: RUF012 - as marshmallow types it

    class Meta:
        """Options."""

        unknown = RAISE


class _ReadByCore(fields.Nested):
    """A part described here and read by the core, which reports every fault by its path."""

    def _deserialize(self, value: Any, *_args: object, **_kwargs: object) -> Any:
        if not isinstance(value, dict):
            raise ValidationError("not_an_object")
        return value


class _Number(fields.Float):
    """A JSON number; a number in quotes is a slip of the pen."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise self.make_error("invalid")
        return super()._deserialize(value, attr, data, **kwargs)


class _Whole(fields.Integer):
    """A whole JSON number; ``1.0`` is one."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, (int, float)) or value % 1:
            raise self.make_error("invalid")
        return super()._deserialize(value, attr, data, **kwargs)


class StatedNumber(Schema):
    """A number of the serving line."""

    value = fields.Float(allow_none=True, required=True)
    state = fields.String(validate=validate.OneOf(STATES))
    about = fields.Boolean()


class StatedWord(Schema):
    """A unit of the serving line."""

    value = fields.String(allow_none=True, required=True)
    state = fields.String(validate=validate.OneOf(STATES))


class ServingSchema(Schema):
    """The serving size as printed."""

    household_amount = fields.Nested(StatedNumber)
    household_unit = fields.Nested(StatedWord)
    metric_amount = fields.Nested(StatedNumber)
    metric_unit = fields.Nested(StatedWord)
    servings_per_container = fields.Nested(StatedNumber)
    pieces = fields.Nested(StatedNumber)
    text = fields.String()


class DeclaredSchema(Schema):
    """A nutrient as printed, for one serving."""

    value = fields.Float(allow_none=True, required=True)
    unit = fields.String()
    percent_dv = fields.Float(allow_none=True)
    less_than = fields.Boolean()
    state = fields.String(validate=validate.OneOf(STATES))


class DoubtSchema(Schema):
    """Why a field is not sure, in plain words; ``box`` is left, top, width, height on the photo."""

    field = fields.String(required=True)
    code = fields.String(required=True)
    reason = fields.String(required=True)
    box = fields.List(fields.Integer(), allow_none=True)


NutrientsSchema = Schema.from_dict(
    {key: fields.Nested(DeclaredSchema, required=key in MANDATORY) for key in nutrients()},
    name="NutrientsSchema",
)
ColumnsSchema = Schema.from_dict(
    {name: fields.Dict(fields.String(), fields.Nested(DeclaredSchema)) for name in COLUMNS},
    name="ColumnsSchema",
)


class PanelSchema(Schema):
    """A Nutrition Facts panel."""

    serving = fields.Nested(ServingSchema, required=True)
    nutrients = fields.Nested(NutrientsSchema, required=True)
    columns = fields.Nested(ColumnsSchema)
    doubts = fields.List(fields.Nested(DoubtSchema))
    form = fields.String(validate=validate.OneOf(("2016", "1993")))
    name = fields.String()
    food = fields.String()


class PanelQuery(Schema):
    """A typed panel; the core reads it and reports every fault."""

    error_messages = {"type": "not_an_object"}  # noqa: RUF012 - as marshmallow types it
    serving = fields.Raw(
        allow_none=True, metadata={"description": "see PanelSchema.serving; states may be left out"}
    )
    nutrients = fields.Raw(
        allow_none=True, metadata={"description": "see PanelSchema.nutrients; bare numbers will do"}
    )
    columns = fields.Raw(allow_none=True)
    form = fields.Raw(allow_none=True)
    name = fields.Raw(allow_none=True)
    food = fields.Raw(allow_none=True)

    class Meta:
        """Options."""

        unknown = EXCLUDE


class AmountQuery(Schema):
    """So many of a measure."""

    count = fields.Float(required=True)
    measure = fields.String(required=True)
    cooked = fields.Boolean()


class PlanQuery(_Request):
    """What the shopper's care team set."""

    meal_carbohydrate_g = _Number(allow_none=True, error_messages=_NUMBER)
    day_sodium_mg = _Number(allow_none=True, error_messages=_NUMBER)


class PortionQuery(_Request):
    """A panel and how much of it is eaten."""

    panel = _ReadByCore(PanelSchema, required=True, error_messages=_WORDS)
    amount = _ReadByCore(AmountQuery, required=True, error_messages=_WORDS)
    food = fields.String(allow_none=True, error_messages=_TEXT)
    hands = fields.Dict(
        fields.String(),
        fields.Raw(allow_none=True),
        allow_none=True,
        error_messages=_WORDS | {"invalid": "not_an_object"},
    )
    plan = fields.Nested(PlanQuery, allow_none=True, error_messages=_WORDS)
    coverage = _Whole(
        load_default=1, validate=validate.OneOf(COVERAGES, error="coverage"), error_messages=_NUMBER
    )


class RangeSchema(Schema):
    """A value and the range it lies in."""

    value = fields.Float(required=True)
    low = fields.Float(required=True)
    high = fields.Float(required=True)


class ServingsSchema(RangeSchema):
    """Label servings eaten."""

    state = fields.String(validate=validate.OneOf(STATES))


class EatenSchema(RangeSchema):
    """A nutrient in the amount eaten."""

    unit = fields.String(required=True)
    percent_dv = fields.Float(allow_none=True)
    state = fields.String(validate=validate.OneOf(STATES))


class InsightSchema(Schema):
    """Something worth saying."""

    code = fields.String(required=True)
    text = fields.String(required=True)
    nutrients = fields.List(fields.String())
    values = fields.Dict(fields.String(), fields.Float())


class AmountSchema(Schema):
    """The amount, and how people say it."""

    count = fields.Float(required=True)
    measure = fields.String(required=True)
    cooked = fields.Boolean(required=True)
    text = fields.String(required=True)


class PortionSchema(Schema):
    """The amount really eaten."""

    amount = fields.Nested(AmountSchema, required=True)
    food = fields.String(allow_none=True)
    coverage = fields.Integer(required=True)
    servings = fields.Nested(ServingsSchema, required=True)
    grams = fields.Nested(RangeSchema, allow_none=True)
    nutrients = fields.Dict(fields.String(), fields.Nested(EatenSchema), required=True)
    carb_choices = fields.Nested(RangeSchema, allow_none=True)
    day_sodium_percent = fields.Nested(RangeSchema, allow_none=True)
    meal_carbohydrate_percent = fields.Nested(RangeSchema, allow_none=True)
    insights = fields.List(fields.Nested(InsightSchema), required=True)
    working = fields.List(fields.String(), required=True)
    cautions = fields.List(fields.String(), required=True)


class ProblemDetail(Schema):
    """What happened and what to do; ``fields`` by the path of each faulty field."""

    code = fields.String(required=True)
    message = fields.String(required=True)
    fields_ = fields.Dict(fields.String(), fields.String(), data_key="fields", required=True)


class ProblemSchema(Schema):
    """An error."""

    error = fields.Nested(ProblemDetail, required=True)


class HealthSchema(Schema):
    """The service is up."""

    status = fields.String(required=True)
    version = fields.String(required=True)


class ReadySchema(Schema):
    """Which parts of the service answer."""

    status = fields.String(required=True, validate=validate.OneOf(("ok", "not_ready")))
    database = fields.String(required=True, validate=validate.OneOf(("ok", "down")))
    readers = fields.String(required=True, validate=validate.OneOf(("ok", "down")))


class MeasuresSchema(Schema):
    """The measures, hand measures first."""

    measures = fields.List(fields.Dict(), required=True)


class FoodsSchema(Schema):
    """The foods with weights."""

    foods = fields.List(fields.Dict(), required=True)
