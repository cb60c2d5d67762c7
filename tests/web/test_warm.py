"""What the first reader would wait for is loaded while the server comes up."""

import subprocess
import sys
import threading

from fastapi.testclient import TestClient

from timbrel.web import warm
from timbrel.web.server import create_app


def test_the_server_loads_as_it_comes_up(tmp_path, monkeypatch):
    loaded = threading.Event()
    monkeypatch.setattr(warm, "load", loaded.set)
    with TestClient(create_app(tmp_path), base_url="http://127.0.0.1"):
        assert loaded.wait(30)


def test_all_that_an_edit_uses_is_loaded():
    """Nothing is left to import once an edit has been planned and answered."""
    code = (
        "import sys\n"
        "from timbrel.web import warm, pages\n"
        "import gc\n"
        "warm.load()\n"
        "print(gc.get_freeze_count() > len(gc.get_objects()))\n"
        "from timbrel.job.new import example_text\n"
        "from timbrel.web.edits import put_values\n"
        "from timbrel.web.planning import Planner\n"
        "before = set(sys.modules)\n"
        "Planner().plan(put_values(example_text(), {'curve.rise': '540'}, 'mm'))\n"
        "print(sorted(set(sys.modules) - before))\n"
        "print(sorted(name for _, name in pages._environment().cache.keys()))\n"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    set_aside, modules, templates = told.stdout.splitlines()
    assert set_aside == "True"
    assert modules == "[]"
    assert all(name in templates for name in warm.TEMPLATES)
