"""Shortest ways through the zone maps by networkx (Hagberg, Schult, Swart, SciPy 2008), for tests/vehicle_routes.rs.

    pip install networkx && python3 make.py > networkx.csv

A passage costs its metres and its detour, and half of either zone that it joins. Where the engine is not in front, the
file of assets/engines replaces, adds and leaves out parts of the body's map. Lines: map, from, to, cost in metres; with
`*` for both, the sum over all pairs.
"""

import json
from pathlib import Path

import networkx

ASSETS = Path(__file__).parents[3] / "assets"
STARTS = ["dash_left", "engine_left"]


def maps():
    for path in sorted(ASSETS.glob("bodies/*.json")):
        body = json.loads(path.read_text())
        yield path.stem, {zone["id"]: zone for zone in body["zones"]}, {p["id"]: p for p in body["passages"]}
    for path in sorted(ASSETS.glob("engines/*.json")):
        engine = json.loads(path.read_text())
        body = json.loads((ASSETS / "bodies" / f"{engine['body']}.json").read_text())
        zones = {zone["id"]: zone for zone in body["zones"] + engine["zones"]}
        passages = {p["id"]: p for p in body["passages"] + engine["passages"] if p["id"] not in engine["without"]}
        yield path.stem, zones, passages


def main():
    for name, zones, passages in maps():
        graph = networkx.Graph()
        graph.add_nodes_from(zones)
        for passage in passages.values():
            one, other = passage["between"]
            cost = passage["metres"] + passage.get("detour_m", 0) + (zones[one]["metres"] + zones[other]["metres"]) / 2
            known = graph.get_edge_data(one, other, {"weight": cost})["weight"]
            graph.add_edge(one, other, weight=min(cost, known))
        lengths = dict(networkx.all_pairs_dijkstra_path_length(graph))
        for start in STARTS:
            for zone in sorted(lengths[start]):
                print(f"{name},{start},{zone},{lengths[start][zone]:.4f}")
        print(f"{name},*,*,{sum(sum(ways.values()) for ways in lengths.values()):.3f}")


main()
