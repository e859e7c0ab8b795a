"""Write the demo farm's blocks in three formats, and its weather, beside this file: python sample_geodata/make_demo_blocks.py."""

import tempfile
from datetime import UTC, date, datetime
from pathlib import Path

from orchardmap.demo.build import build_demo
from orchardmap.geodata.geopackage import append_layer
from orchardmap.geodata.write import write_csv, write_geojson
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases.layers import LAYERS, batches, reading
from orchardmap.usecases.weather import loaded_weather

HERE = Path(__file__).parent
NOW = datetime(2026, 1, 20, 12, tzinfo=UTC)


def main() -> None:
    """Build the demo in a temporary store and write its blocks, and for the GeoPackage its rows too."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(sqlite_url(Path(folder) / "demo.sqlite"))
        truth = build_demo(store, today=date(2026, 1, 20), now=NOW)
        with reading(store, truth.farm_id, day=date(2026, 1, 20), now=NOW, people_of=()) as read:
            with (HERE / "demo_blocks.geojson").open("wb") as file:
                write_geojson(file, batches(read, "blocks"))
            with (HERE / "demo_blocks.csv").open("wb") as file:
                write_csv(file, LAYERS["blocks"], batches(read, "blocks"))
            package = HERE / "demo_blocks.gpkg"
            package.unlink(missing_ok=True)
            for name in ("blocks", "rows"):
                append_layer(package, LAYERS[name], batches(read, name), language="en", as_of="")
        told = loaded_weather(store, truth.farm_id)["days"]
        store.close()
    lines = [f"{one['day']},{one['tmin_c']},{one['tmax_c']},{one['rain_mm']}" for one in told]
    (HERE / "demo_weather.csv").write_text("\n".join(["date,tmin_c,tmax_c,rain_mm", *lines, ""]), "utf-8")


if __name__ == "__main__":
    main()
