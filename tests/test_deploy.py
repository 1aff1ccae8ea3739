"""What stands under deploy/: the lock is whole, the unit is sound, the container is shut, the examples are true."""

import re
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from bot.doors import settings

ROOT = Path(__file__).parent.parent
DEPLOY = ROOT / "deploy"


def locked():
    """Each entry of the lock: (requirement, its hashes)."""
    text = (DEPLOY / "requirements.lock").read_text(encoding="utf-8")
    entries = re.findall(r"^([a-z][^\n\\]*?) \\\n((?: +--hash=\S+(?: \\)?\n)+)", text, re.M)
    return [(Requirement(head), re.findall(r"sha256:([0-9a-f]{64})\b", hashes)) for head, hashes in entries]


LOCK = locked()


def here():
    """The pins that hold on this interpreter."""
    return {canonicalize_name(r.name): r for r, _ in LOCK if r.marker is None or r.marker.evaluate()}


def test_every_line_of_the_lock_is_pinned_and_hashed():
    names = re.findall(r"^[a-z][\w.-]*", (DEPLOY / "requirements.lock").read_text(encoding="utf-8"), re.M)
    assert len(names) == len(LOCK) > 15
    for requirement, hashes in LOCK:
        assert re.fullmatch(r"==[^,*]+", str(requirement.specifier)) and hashes, requirement


def test_the_lock_holds_every_dependency_within_its_bounds():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    pins = here()
    for wanted in map(Requirement, project["dependencies"]):
        pin = pins[canonicalize_name(wanted.name)]
        assert wanted.specifier.contains(str(pin.specifier).removeprefix("==")), wanted


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd here")
def test_the_unit_is_sound_and_shut(tmp_path):
    unit = (DEPLOY / "bucketbell@.service").read_text(encoding="utf-8")
    (tmp_path / "bucketbell@x.service").write_text(unit.replace("/opt/bucketbell/.venv/bin/python", "/usr/bin/env"))
    ran = subprocess.run(
        ["systemd-analyze", "verify", tmp_path / "bucketbell@x.service"], capture_output=True, text=True, check=False
    )
    assert "bucketbell" not in ran.stderr, ran.stderr


@pytest.mark.parametrize(
    "line",
    [
        "Type=notify",
        "WatchdogSec=90",
        "Restart=always",
        "StartLimitIntervalSec=0",
        "RestartPreventExitStatus=78",
        "ProtectSystem=strict",
        "NoNewPrivileges=yes",
        "User=bucketbell",
        "LoadCredential=token:/etc/bucketbell/%i.token",
    ],
)
def test_the_unit_says_what_the_service_counts_on(line):
    assert line in (DEPLOY / "bucketbell@.service").read_text(encoding="utf-8").splitlines()


def test_the_container_runs_as_nobody_special_stops_on_sigterm_and_can_be_asked():
    lines = (DEPLOY / "Dockerfile").read_text(encoding="utf-8").splitlines()
    last_user = [line for line in lines if line.startswith("USER ")][-1]
    assert last_user != "USER root"
    assert 'CMD ["python", "-m", "bot", "serve"]' in lines
    assert any("HEALTHCHECK" in line and '"health"' in line for line in lines)
    assert any("--require-hashes" in line for line in lines)


def test_the_example_names_only_settings_that_exist():
    known = {
        getattr(settings, name)
        for name in ("TOKEN", "TOKEN_FILE", "DB", "BASE_URL", "BASE_FILE_URL", "SECRET_FILE", "TRANSCRIBER")
    }
    named = set(re.findall(r"^#?(BUCKETBELL_\w+)=", (DEPLOY / "bucketbell.env.example").read_text("utf-8"), re.M))
    assert named and named <= known


def test_readme_and_developers_name_only_options_that_exist():
    from bot.__main__ import VERBS
    from bot.doors.service import _serve_parser

    text = "".join((DEPLOY.parent / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))
    options = _serve_parser().format_help()
    assert {"--health-port", "--copies", "--webhook-url"} <= set(re.findall(r"--[a-z]+-?[a-z]*", text))
    for option in ("--health-port", "--copies", "--copy-hours", "--webhook-url", "--webhook-listen"):
        assert option in text and option in options
    for verb in re.findall(r"-m bot ([a-z]+)", text):
        assert verb in VERBS
