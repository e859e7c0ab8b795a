"""Write the demo farm's blocks in three formats, and its weather, beside this file: python sample_geodata/make_demo_blocks.py."""

import tempfile
from datetime import UTC, date, datetime
from pathlib import Path

from orchardmap.demo.build import build_demo
from orchardmap.geodata.write import blocks_csv, blocks_geojson, geopackage
from orchardmap.store import farm, orchard
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases.weather import loaded_weather

HERE = Path(__file__).parent


def main() -> None:
    """Build the demo in a temporary store and write its blocks, and for the GeoPackage its rows too."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(sqlite_url(Path(folder) / "demo.sqlite"))
        truth = build_demo(store, today=date(2026, 1, 20), now=datetime(2026, 1, 20, 12, tzinfo=UTC))
        with store.read() as conn:
            blocks = orchard.blocks(conn, truth.farm_id)
            rows = [row for block in blocks for row in orchard.rows(conn, block.id)]
            names = {variety.id: variety.name for variety in farm.varieties(conn, truth.farm_id)}
        told = loaded_weather(store, truth.farm_id)["days"]
        store.close()
    lines = [f"{one['day']},{one['tmin_c']},{one['tmax_c']},{one['rain_mm']}" for one in told]
    (HERE / "demo_weather.csv").write_text("\n".join(["date,tmin_c,tmax_c,rain_mm", *lines, ""]), "utf-8")
    (HERE / "demo_blocks.geojson").write_bytes(blocks_geojson(blocks, variety_names=names))
    (HERE / "demo_blocks.csv").write_bytes(blocks_csv(blocks, variety_names=names))
    (HERE / "demo_blocks.gpkg").write_bytes(geopackage(blocks, rows, variety_names=names))


if __name__ == "__main__":
    main()
