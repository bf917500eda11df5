"""Who may ask: RFC 9110 on Host, the Fetch standard on Origin, Fetch Metadata on Sec-Fetch-Site."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.studio.conftest import HOST


@pytest.mark.parametrize(
    ("header", "value", "status"),
    [
        ("host", "example.org", 421),
        ("host", "127.0.0.1:1", 421),
        ("origin", "http://example.org", 403),
        ("origin", "null", 403),
        ("sec-fetch-site", "cross-site", 403),
        ("sec-fetch-site", "same-site", 403),
        ("sec-fetch-site", "same-origin", 200),
        ("origin", f"http://{HOST}", 200),
    ],
)
def test_others_are_refused(header: str, value: str, status: int, client: TestClient) -> None:
    answer = client.get("/", headers={header: value})
    assert answer.status_code == status
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_a_get_writes_nothing(client: TestClient, hut: Path) -> None:
    before = {path: path.read_bytes() for path in hut.rglob("*") if path.is_file()}
    client.get("/design/tumbler?form.height=120")
    assert client.get("/design/tumbler/save?form.height=120").status_code == 405
    assert {path: path.read_bytes() for path in hut.rglob("*") if path.is_file()} == before


def test_too_much_is_refused(client: TestClient) -> None:
    assert client.get("/design/tumbler?title=" + "x" * 40_000).status_code == 414
    assert client.post("/design/tumbler/save", data={"title": "x" * 600_000}).status_code == 413

    def without_length() -> object:
        for _ in range(20):
            yield b"title=" + b"x" * 50_000

    streamed = client.post(
        "/design/tumbler/save",
        content=without_length(),  # type: ignore[arg-type]  # an iterator of bytes, which is sent in chunks
        headers={"content-type": "application/x-www-form-urlencoded"},
    )
    assert streamed.status_code == 413
    assert client.get("/design/tumbler").status_code == 200


def test_an_origin_that_is_kept_back_needs_the_browsers_word(client: TestClient) -> None:
    """The Fetch standard: with the referrer policy `no-referrer` a form is posted with the origin `null`."""
    data = {"form.height": "-1"}
    for site, status in (("same-origin", 409), ("cross-site", 403), ("none", 403)):
        headers = {"origin": "null", "sec-fetch-site": site}
        assert client.post("/design/tumbler/save", data=data, headers=headers).status_code == status


@pytest.mark.parametrize(
    "clay", ["/etc/passwd", "../secret.toml", "link.toml", "/etc/hosts.toml", "sub/../../secret.toml", "x\0.toml"]
)
def test_no_file_outside_is_read_through_a_design(clay: str, client: TestClient, hut: Path) -> None:
    (hut.parent / "secret.toml").write_text('secret = "kept"\n')
    (hut / "link.toml").symlink_to(hut.parent / "secret.toml")
    for answer in (
        client.get("/design/tumbler", params={"clay": clay}),
        client.get("/design/jam_jar", params={"lid.clay": clay}),
    ):
        assert "No pot:" in answer.text
        assert "kept" not in answer.text
        assert str(hut) not in answer.text


def test_a_link_out_of_the_folder_is_no_design(client: TestClient, hut: Path) -> None:
    outside = hut.parent / "outside.toml"
    outside.write_text((hut / "tumbler.toml").read_text())
    (hut / "linked.toml").symlink_to(outside)
    assert "linked" not in client.get("/").text
    assert client.get("/design/linked").status_code == 422
