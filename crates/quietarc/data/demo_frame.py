"""Keeps the short part of the truth of the demo's frame: how it is called, see docs/scene.md."""

import json
import pathlib

folder = pathlib.Path(__file__).parent
whole = folder / "demo_frame.composed.json"
truth = json.loads(whole.read_text())
short = {name: value for name, value in truth.items() if name not in ("map", "stars")}
short["stars_in_the_picture"] = len(truth["stars"])
(folder / "demo_frame.truth.json").write_text(json.dumps(short, indent=1) + "\n")
whole.unlink()
