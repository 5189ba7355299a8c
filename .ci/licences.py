"""Print name and licence of every installed package, one a line.

`python .ci/licences.py > .ci/licences.txt` in the environment of .ci/run writes the committed list.
"""

from importlib.metadata import Distribution, distributions

OURS = {"doorsheet", "pip", "setuptools", "wheel"}


def licence(one: Distribution) -> str:
    """Return what a package says its licence is, in a line."""
    said = one.metadata.get("License-Expression") or ""
    classed = [c.rpartition(" :: ")[2] for c in one.metadata.get_all("Classifier") or () if "License ::" in c]
    said = said or ", ".join(classed) or (one.metadata.get("License") or "").strip().partition("\n")[0]
    return said[:80]


found = {one.metadata["Name"].lower().replace("_", "-"): licence(one) for one in distributions()}
for name in sorted(found.keys() - OURS):
    print(f"{name}: {found[name] or 'named in its own files alone'}")
