"""docker-compose.yml: valid by its published schema, and as locked down as it says."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from ruamel.yaml import YAML

from orchardmap_api.settings import Settings, settings_from

ROOT = Path(__file__).resolve().parents[2]
FILE = ROOT / "docker-compose.yml"


@pytest.fixture(scope="module")
def compose():
    return json.loads(json.dumps(YAML(typ="safe").load(FILE)))


def test_compose_file_is_valid_by_the_compose_schema():
    """The schema of the Compose Specification, as check-jsonschema carries it."""
    tool = str(Path(sys.executable).with_name("check-jsonschema"))
    command = [tool, "--builtin-schema", "vendor.compose-spec", str(FILE)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("name", ["database", "service"])
def test_each_container_has_no_more_than_it_needs(compose, name):
    one = compose["services"][name]
    user = one["user"].split(":")
    assert all(part.isdigit() and int(part) > 0 for part in user), "must not be root"
    assert one["read_only"] is True
    assert one["cap_drop"] == ["ALL"]
    assert "no-new-privileges:true" in one["security_opt"]
    assert "/tmp" in one["tmpfs"]
    assert {"test", "interval", "timeout", "retries", "start_period"} <= set(one["healthcheck"])
    assert one["restart"] == "unless-stopped"
    assert one["mem_limit"]
    assert one["pids_limit"]
    assert one["logging"]["options"]["max-size"]
    assert "privileged" not in one
    assert one.get("network_mode") != "host"


def test_data_lies_in_a_named_volume_and_the_password_in_a_secret(compose):
    (mount,) = compose["services"]["database"]["volumes"]
    volume, place = mount.split(":")[:2]
    assert volume in compose["volumes"]
    assert place == "/var/lib/postgresql/data"
    for one in compose["services"].values():
        assert one["secrets"] == ["database_password"]
        assert not [key for key in one["environment"] if key.endswith("PASSWORD")], "only by file"
    assert compose["secrets"]["database_password"]["file"].startswith("./secrets/")
    assert "secrets/" in (ROOT / ".gitignore").read_text("utf-8").splitlines()
    assert "--data-checksums" in compose["services"]["database"]["environment"]["POSTGRES_INITDB_ARGS"]


def test_only_this_machine_reaches_the_service_and_nobody_the_database(compose):
    service, database = compose["services"]["service"], compose["services"]["database"]
    assert all(port.startswith("127.0.0.1:") for port in service["ports"])
    assert "ports" not in database


def test_service_waits_for_the_database_and_is_asked_whether_it_is_ready(compose):
    service = compose["services"]["service"]
    assert service["depends_on"] == {"database": {"condition": "service_healthy"}}
    assert "/readyz" in " ".join(service["healthcheck"]["test"])
    assert service["init"] is True
    assert int(service["stop_grace_period"].removesuffix("s")) >= 20


def test_service_understands_every_setting_it_is_given(compose, tmp_path):
    secret = tmp_path / "password"
    secret.write_text("plum\n", "utf-8")
    given = compose["services"]["service"]["environment"] | {"ORCHARDMAP_DATABASE_PASSWORD_FILE": str(secret)}
    made = settings_from(given)
    assert isinstance(made, Settings)
    assert made.database_password == "plum"
    assert made.database_url.startswith("postgresql://")
    assert f":{made.port}" in compose["services"]["service"]["ports"][0]


def test_image_is_built_without_root_and_by_the_lock():
    text = (ROOT / compose_build()).read_text("utf-8")
    assert "--require-hashes" in text
    assert "npm ci" in text
    user = [line for line in text.splitlines() if line.startswith("USER ")][-1]
    assert user.split()[1].split(":")[0] not in {"0", "root"}
    for line in text.splitlines():
        if line.startswith("COPY ") and "--from" not in line:
            *sources, _ = line.split()[1:]
            assert [s for s in sources if not (ROOT / s).exists()] == [], line


def compose_build() -> str:
    return str(YAML(typ="safe").load(FILE)["services"]["service"]["build"]["dockerfile"])
