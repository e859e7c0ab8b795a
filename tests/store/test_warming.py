"""What pages ask first is worked out after a start, in the order in which it is waited for. On both engines."""

from orchardmap.usecases import warming
from orchardmap.usecases.warming import Warming
from small_farm import NOW, small_farm


def test_what_stands_first_on_the_page_is_there_for_every_farm_before_anything_else(store, monkeypatch):
    ids = {small_farm(store, name=name).farm.id for name in ("Lower Farm", "Upper Farm")}
    asked = []

    def noting(name):
        look = getattr(warming, name)

        def noted(store, farm_id, **told):
            asked.append((name, farm_id))
            return look(store, farm_id, **told)

        monkeypatch.setattr(warming, name, noted)

    noting("overview")
    noting("forecast")
    begun = Warming(store, clock=lambda: NOW)
    begun.start()
    begun.join()
    assert [name for name, _ in asked] == ["overview", "overview", "forecast", "forecast"]
    assert {farm_id for _, farm_id in asked[:2]} == {farm_id for _, farm_id in asked[2:]} == ids
