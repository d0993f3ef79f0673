"""The whole main job through the generated client: python main_job.py ADDRESS SHELF"""

import sys

import batch
import keeping
import reckoning
import tables
import verifying
from evenround import Client

STEPS = {
    "rules": verifying.the_rules,
    "a pattern that holds": verifying.what_holds,
    "a pattern that is mended": verifying.what_is_mended,
    "a request that does not fit": verifying.what_is_refused,
    "a shelf": batch.a_shelf,
    "a swatch": reckoning.a_swatch,
    "a plan graded": reckoning.a_plan,
    "a plan that cannot be": reckoning.what_collides,
    "yarn": reckoning.the_yarn,
    "another gauge": reckoning.another_gauge,
    "a checkpoint": reckoning.on_the_way,
    "longer": reckoning.longer,
    "another yarn": reckoning.another_yarn,
    "yarn weights": tables.yarn_weights,
    "hooks": tables.hooks,
    "stitches": tables.stitches,
    "body sizes": tables.body_sizes,
    "a yarn kept": keeping.a_yarn,
    "a design kept": keeping.a_design,
    "a design from a plan": keeping.a_design_from_a_plan,
    "the list of designs": keeping.the_list,
    "a wrong key": keeping.a_wrong_key,
}

with Client(base_url=sys.argv[1]) as client:
    for name, step in STEPS.items():
        print(f"{name}: {step(client)}", flush=True)
