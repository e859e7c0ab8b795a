"""Read the farm at ROOT by GDAL's OAPIF driver and print what was found as one line of JSON. A process of its own: GDAL keeps its settings."""

import json
import os
from pathlib import Path
from typing import Any

from pyogrio import list_layers, read_dataframe, read_info, set_gdal_config_options
from pyogrio.errors import DataSourceError
from pyproj import Geod

WGS84 = Geod(ellps="WGS84")


def root() -> str:
    return "OAPIF:" + os.environ["ROOT"]


def read(layer: str, **more: Any) -> Any:
    return read_dataframe(root(), layer=layer, **more)


def refusal(address: str) -> str:
    try:
        list_layers(address)
    except DataSourceError as error:
        return str(error)
    return ""


def main() -> None:
    headers = Path(os.environ["HOME"], "headers.txt")
    headers.write_text(f"Authorization: Bearer {os.environ['TOKEN']}\n", "utf-8")
    set_gdal_config_options({"GDAL_HTTP_HEADER_FILE": str(headers)})
    layers = dict(list_layers(root()).tolist())
    whole = {layer: read(layer) for layer in layers}
    about = {layer: read_info(root(), layer=layer) for layer in ("blocks", "rows", "checks")}
    rows = whole["rows"]
    found = {
        "layers": layers,
        "counts": {layer: info["features"] for layer, info in about.items()},
        "read": {layer: len(table) for layer, table in whole.items()},
        "distinct": {layer: int(table["id"].nunique()) for layer, table in whole.items()},
        "fields": {
            layer: dict(zip(info["fields"].tolist(), info["dtypes"].tolist(), strict=True))
            for layer, info in about.items()
        },
        "crs": about["rows"]["crs"],
        "lengths": {row.id: WGS84.geometry_length(row.geometry) for row in rows.itertuples()},
        "told_lengths": {row.id: row.length_m for row in rows.itertuples()},
        "box": sorted(read("rows", bbox=(11.2990, 46.4, 11.2997, 47))["id"]),
        "box_here": sorted(rows.cx[11.2990:11.2997, 46.4:47]["id"]),
        "pages": sorted(read("rows", PAGE_SIZE=7)["id"]) == sorted(rows["id"]),
        "yesterday": read("progress", where="day = '2026-01-19'")["pruned_trees"].tolist(),
        "rows_yesterday": int(read("rows", where="day = '2026-01-19'")["pruned_trees"].sum()),
        "marks_by_yesterday": len(read("marks", where="day <= '2026-01-19'")),
        "one_block": sorted(set(read("rows", where="block = 'K2'")["block"])),
        "nowhere": int(whole["checks"].geometry.isna().sum()),
        "other_farm": refusal("OAPIF:" + os.environ["OTHER_ROOT"]),
    }
    headers.write_text("Authorization: Bearer wrong\n", "utf-8")
    found["wrong_token"] = refusal(root())
    headers.write_text(f"Authorization: Bearer {os.environ['KEY']}\n", "utf-8")
    found["by_key"] = {layer: len(read(layer)) for layer in layers}
    found["key_elsewhere"] = refusal("OAPIF:" + os.environ["OTHER_ROOT"])
    headers.write_text("Accept-Language: en\n", "utf-8")
    found["no_token"] = refusal(root())
    found["by_basic"] = len(read("blocks", USERPWD=f"anybody:{os.environ['TOKEN']}"))
    found["by_key_as_password"] = len(read("blocks", USERPWD=f"anybody:{os.environ['KEY']}"))
    print(json.dumps(found))


if __name__ == "__main__":
    main()
