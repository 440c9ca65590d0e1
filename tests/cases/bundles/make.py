"""Makes log.json and outside.loomwalk.json with nothing of this project: Python's json, hashlib and base64.

json.dumps(sort_keys, separators, ensure_ascii=False) is RFC 8785 for what stands here: the keys are ASCII and the
numbers are ones that Python and ECMAScript write alike.

    python3 make.py        prints the digests that tests/bundle.rs states
"""
import base64, hashlib, json, pathlib

HERE = pathlib.Path(__file__).parent
DEVICE = "00000000-0000-4000-8000-000000000001"
POINT = "point:passage:rear_door_boot"
# The smallest PNG: one transparent pixel.
PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==")
PHOTO = {"sha256": hashlib.sha256(PNG).hexdigest(), "bytes": len(PNG), "media_type": "image/png", "width": 1,
         "height": 1, "point": POINT, "stage": "lie", "annotation": "as it lies"}


def event(n, at, kind, body):
    return {"id": f"018bcfe5-6c00-7000-8000-{n:012x}", "at": at, "device_id": DEVICE, "kind": kind, "body": body}


def canonical(value):
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def digest(events):
    return hashlib.sha256(canonical(sorted(events, key=lambda e: e["id"]))).hexdigest()


LOG = [
    event(2, "2023-11-14T22:13:21Z", "held", {"state": ["key_on"], "motion": "rough", "heat": "warm", "minutes": 15}),
    event(1, "2023-11-14T22:13:20Z", "job_opened", {"practice": True}),
    event(3, "2023-11-14T22:13:22.500Z", "note", {"text": "Tülle fehlt – 4,5 mm \"edge\"\n€", "point": POINT}),
    event(4, "2023-11-14T22:13:23Z", "repair", {"what": "conduit", "done": True, "minutes": 0.002}),
]
(HERE / "log.json").write_text(json.dumps(LOG, indent=1, ensure_ascii=False) + "\n")
print("log.json", digest(LOG))
print("no events", digest([]))

# Written as another program might: a body's 15 as 15.0, a time with an offset, a field that is not ours, a kind that
# is not ours, keys in another order, slashes escaped. The digest is over what is written: RFC 8785 makes 15 of 15.0.
log = LOG[1:3] + [
    event(5, "2023-11-14T22:13:24+00:00", "photo", PHOTO),
    event(6, "2023-11-14T22:13:25.000Z", "thermal_picture", {"kelvin": 300, "later": {"than": "us"}}),
]
bundle = {
    "format": "loomwalk/bundle", "version": 1, "made_by": "another program",
    "bundle_id": "018bcfe5-6c00-7000-8000-0000000000ff", "made_at": "2023-11-14T22:14:00Z", "device_id": DEVICE,
    "log_digest": digest(log + [LOG[0]]),
    "photos": [dict(PHOTO, data=base64.b64encode(PNG).decode())],
    "log": log + [event(2, "2023-11-14T22:13:21Z", "held",
                        {"minutes": 15.0, "state": ["key_on"], "motion": "rough", "heat": "warm"})],
    "job": {"id": "018bcfe5-6c00-7000-8000-000000000007", "concern": {"words": "Rear wiper stops"},
            "vehicle": {"label": "van"}},
}
(HERE / "outside.loomwalk.json").write_text(json.dumps(bundle, indent=1, ensure_ascii=False).replace("image/", "image\\/") + "\n")
