"""Read the farm at ROOT by a headless QGIS and print what was found as one line of JSON. For Python as QGIS is installed for, not ours."""

import json
import os
from typing import Any


def main() -> None:
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from qgis.core import (  # type: ignore[import-not-found]
        Qgis,
        QgsApplication,
        QgsCoordinateTransformContext,
        QgsDistanceArea,
        QgsFeatureRequest,
        QgsRectangle,
        QgsVectorLayer,
        QgsWkbTypes,
    )

    QgsApplication.setPrefixPath("/usr", True)
    app = QgsApplication([], False)
    app.initQgis()
    measure = QgsDistanceArea()
    measure.setEllipsoid("WGS84")

    def opened(
        name: str, root: str = os.environ["ROOT"], token: str = os.environ["TOKEN"], size: int = 1000
    ) -> Any:
        uri = f"pagingEnabled='true' pageSize='{size}' username='any' password='{token}' typename='{name}' url='{root}'"
        layer = QgsVectorLayer(uri, name, "OAPIF")
        measure.setSourceCrs(layer.crs(), QgsCoordinateTransformContext())
        return layer

    layers = {name: opened(name) for name in json.loads(os.environ["LAYERS"])}
    rows = layers["rows"]
    box = QgsFeatureRequest().setFilterRect(QgsRectangle(11.2990, 46.4, 11.2997, 47))
    day, early, one = opened("progress"), opened("marks"), opened("rows")
    found = {
        "version": Qgis.QGIS_VERSION,
        "valid": all(layer.isValid() for layer in layers.values()),
        "counts": {name: layer.featureCount() for name, layer in layers.items()},
        "read": {name: sum(1 for _ in layer.getFeatures()) for name, layer in layers.items()},
        "kinds": {name: QgsWkbTypes.displayString(layer.wkbType()) for name, layer in layers.items()},
        "crs": {layer.crs().authid() for layer in layers.values()}.pop(),
        "fields": {field.name(): field.typeName() for field in rows.fields()},
        "lengths": {f["id"]: measure.measureLength(f.geometry()) for f in rows.getFeatures()},
        "pages": sum(1 for _ in opened("rows", size=7).getFeatures()),
        "box": sum(1 for _ in opened("rows").getFeatures(box)),
        "filters": day.setSubsetString("\"day\" = '2026-01-19'")
        and early.setSubsetString("\"day\" <= '2026-01-19'")
        and one.setSubsetString("\"block\" = 'K2'"),
        "yesterday": sorted(f["pruned_trees"] for f in day.getFeatures()),
        "early_marks": [f["row"] for f in early.getFeatures()],
        "one_block": sum(1 for _ in one.getFeatures()),
        "by_key": {
            name: sum(1 for _ in opened(name, token=os.environ["KEY"]).getFeatures()) for name in layers
        },
        "key_elsewhere": opened("rows", root=os.environ["OTHER_ROOT"], token=os.environ["KEY"]).isValid(),
        "wrong_token": opened("rows", token="wrong").isValid(),
        "other_farm": opened("rows", root=os.environ["OTHER_ROOT"]).isValid(),
    }
    print(json.dumps(found), flush=True)
    os._exit(0)  # QGIS 3.22 stumbles over its own end


if __name__ == "__main__":
    main()
