"""The whole service killed under load, twice; ``python -m tests.bench.kills`` does it fifty times."""

from tests.bench.kills import Harm, kills


def test_a_service_that_is_killed_leaves_no_process_no_photo_and_loses_no_amount() -> None:
    done, harms = kills(2, seed=7)

    assert harms == [Harm(orphans=0, files=0, faults=0, lost=0)] * 2
    assert done["kills with a photo in a reader"] == 2
    assert done["guess 200"] > 0
    assert done["typed 200"] > 0
