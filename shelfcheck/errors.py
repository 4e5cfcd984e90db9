"""One family of errors: a stable code, an HTTP status, and a sentence that says what to do next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any


class ShelfcheckError(Exception):
    """An error that a person can act on.

    ``message`` says what happened and what to do. ``fields`` maps a field's path, such as
    ``"nutrients.fat.value"``, to the sentence about that field, so that every fault shows at once.
    The command line turns any of them into exit code 2, the service into ``{"error": {...}}``.
    """

    code = "error"
    status = 400

    def __init__(self, message: str, fields: Mapping[str, str] | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.fields = dict(fields or {})

    def to_json(self) -> dict[str, object]:
        """Return the body that the service answers and ``--json`` prints."""
        return {"error": {"code": self.code, "message": self.message, "fields": self.fields}}


class InvalidInputError(ShelfcheckError):
    """Something typed or sent cannot be right; ``fields`` says which part and why."""

    code = "invalid_input"
    status = 422


class BadJsonError(ShelfcheckError):
    """What was sent is not JSON."""

    code = "bad_request"


class AmountError(InvalidInputError):
    """An amount could not be understood."""

    code = "bad_amount"


class UnknownMeasureError(InvalidInputError):
    """The measure is neither one of ours nor the one printed on the label."""

    code = "unknown_measure"


class UnknownFoodError(InvalidInputError):
    """The food's name is not in the table of food weights, or fits several foods."""

    code = "unknown_food"


class NoBridgeError(InvalidInputError):
    """The amount and the label's serving speak of different things and nothing links them."""

    code = "no_bridge"


class PhotoError(ShelfcheckError):
    """The picture cannot be used as a photo of a label."""

    code = "bad_photo"
    status = 415


class PhotoTooLargeError(PhotoError):
    """The picture holds more pixels than will be decoded, or more than the memory of a reader."""

    code = "photo_too_large"
    status = 413


class NotAPanelError(ShelfcheckError):
    """The picture was read, but no Nutrition Facts panel was found on it.

    ``reason`` names the likely cause, such as ``"too_far"`` (``reading/fitness.py``); the sentence says
    what to do about it.
    """

    code = "no_panel"
    status = 422

    def __init__(
        self, message: str, fields: Mapping[str, str] | None = None, reason: str = "no_panel"
    ) -> None:
        super().__init__(message, fields)
        self.reason = reason


class ReaderMissingError(ShelfcheckError):
    """The program that reads print is not installed; typing the label still works."""

    code = "reader_missing"
    status = 503


class ReaderFailedError(ShelfcheckError):
    """The program that reads print failed or ran out of time on this picture."""

    code = "reader_failed"
    status = 503


class BusyError(ShelfcheckError):
    """Every reader is at work; the photo should be sent again in a moment."""

    code = "busy"
    status = 503


class ClientLeftError(ShelfcheckError):
    """Nobody waits for the answer any more; who hears this sent the request again meanwhile."""

    code = "left"
    status = 408


class TooManyError(ShelfcheckError):
    """One address did something too often; ``wait`` says for how many seconds it should not."""

    code = "too_many"
    status = 429

    def __init__(self, message: str, wait: int) -> None:
        super().__init__(message)
        self.wait = wait


class CrossSiteError(ShelfcheckError):
    """A page of another site sent a request that changes something."""

    code = "cross_site"
    status = 403


class StoreError(ShelfcheckError):
    """Tours cannot be read or kept just now: the database is locked, full or gone."""

    code = "not_saved"
    status = 503


class NoTourError(ShelfcheckError):
    """No tour that goes on has this join code."""

    code = "no_tour"
    status = 404


class TourEndedError(NoTourError):
    """The join code is one of a tour that has ended; to a phone that is the same as none."""


class DeadLinkError(ShelfcheckError):
    """The token is missing, was never given, or was replaced by a newer one."""

    code = "dead_link"
    status = 401


class NoStopError(ShelfcheckError):
    """The tour has no such stop, or has it no more."""

    code = "no_stop"
    status = 404


class NotOpenError(ShelfcheckError):
    """A stop takes no amounts yet."""

    code = "not_open"
    status = 409


class StopClosedError(ShelfcheckError):
    """A stop takes no more amounts."""

    code = "stop_closed"
    status = 409


class GuessShownError(ShelfcheckError):
    """The group has seen its amounts, so none is changed any more."""

    code = "guess_shown"
    status = 409


class StopShownError(ShelfcheckError):
    """A stop cannot open again once its group has seen the amounts."""

    code = "stop_shown"
    status = 409


class TourFullError(ShelfcheckError):
    """As many phones have joined as a tour can have."""

    code = "tour_full"
    status = 409


class TourChangedError(ShelfcheckError):
    """The tour was changed elsewhere since it was loaded; ``tour`` is what it is now."""

    code = "tour_changed"
    status = 409

    def __init__(self, message: str, tour: Mapping[str, Any]) -> None:
        super().__init__(message)
        self.tour = dict(tour)

    def to_json(self) -> dict[str, object]:
        """Return the error with the current tour beside it, so that nothing is lost."""
        return super().to_json() | {"tour": self.tour}


def gather(lang: str, *steps: Callable[[], Any]) -> list[Any]:
    """Return the result of each step; when steps fail, raise their faults together.

    Raises:
        InvalidInputError: the one error, or one that holds the fields of them all.
    """
    results, failed = [], []
    for step in steps:
        try:
            results.append(step())
        except InvalidInputError as error:
            failed.append(error)
    if len(failed) == 1:
        raise failed[0]
    if failed:
        from shelfcheck.words import say

        fields = {path: sentence for error in failed for path, sentence in error.fields.items()}
        raise InvalidInputError(say("error.request_faults", lang), fields)
    return results
