"""The frame of the web app: hosts, headers, forms, errors, assets, themes; without a browser."""

from __future__ import annotations

import gzip
import json
import re
import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from itertools import product
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from drainwright.errors import InputError, JobError, Problem
from drainwright.office.app import make_app
from drainwright.office.assets import FACES, _folder, read_assets
from drainwright.office.guard import HEADERS, host_of
from drainwright.office.pages.shell import THEMES, own_path
from drainwright.office.settings import Settings

HERE = "http://127.0.0.1:8321"
FOR_PEOPLE = {"accept": "text/html"}
STYLE = Path(__file__).resolve().parents[2] / "frontend" / "src" / "office.css"


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    app = make_app(Settings(store=f"sqlite:///{tmp_path_factory.mktemp('store') / 'store.sqlite'}", workers=1))

    @app.get("/breaks")
    def breaks() -> None:
        raise RuntimeError("a secret of the machine")

    @app.get("/input")
    def wrong_input() -> None:
        raise InputError("diameter = 0.0: expected a finite number, above zero")

    @app.get("/job")
    def wrong_job() -> None:
        raise JobError((Problem(where="runs[2].pipe", found="'<b>'", expected="a pipe"),))

    @app.post("/api/v1/echo")
    def echo(number: int) -> dict[str, int]:
        return {"number": number}

    with TestClient(app, base_url=HERE, raise_server_exceptions=False) as opened:
        yield opened


@pytest.fixture
def fresh(client: TestClient) -> TestClient:
    client.cookies.clear()
    return client


# Hosts and headers


@pytest.mark.parametrize(
    ("header", "name"),
    [("127.0.0.1:8321", "127.0.0.1"), ("LOCALHOST", "localhost"), ("[::1]:80", "[::1]"), ("a.example:1", "a.example")],
)
def test_the_host_is_read_without_its_port(header: str, name: str) -> None:
    assert host_of(header) == name


@pytest.mark.parametrize("host", ["attacker.example", "127.0.0.1.attacker.example:8321", "", "localhost.", "[::2]"])
def test_a_request_addressed_elsewhere_is_refused(fresh: TestClient, host: str) -> None:
    answer = fresh.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "Office" not in answer.text


@pytest.mark.parametrize("host", ["127.0.0.1:8321", "localhost:9", "[::1]:8321", "LocalHost"])
def test_a_request_addressed_here_is_answered(fresh: TestClient, host: str) -> None:
    assert fresh.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize("path", ["/", "/nowhere", "/breaks", "/worker.js", "/api/v1/openapi.json", "/licences.txt"])
def test_every_answer_has_the_headers(fresh: TestClient, path: str) -> None:
    answer = fresh.get(path)
    for name, value in HEADERS.items():
        assert answer.headers[name] == value
    assert "cache-control" in answer.headers


def test_scripts_and_styles_come_from_here_alone() -> None:
    policy = dict(part.split(" ", 1) for part in HEADERS["content-security-policy"].split("; "))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == "'self'"
    assert "unsafe" not in HEADERS["content-security-policy"]


def test_by_https_the_browser_is_told_to_stay_there() -> None:
    secure = TestClient(make_app(Settings(secure=True)), base_url="https://localhost")
    answer = secure.get("/offline")
    assert answer.headers["strict-transport-security"] == "max-age=31536000"
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("__Host-form=")
    assert {"Secure", "HttpOnly", "SameSite=lax", "Path=/"} <= set(cookie.split("; "))


# Forms


def token(client: TestClient) -> str:
    value: str = client.get("/api/v1/form-token").json()["form_token"]
    return value


def test_a_form_without_its_token_is_refused(fresh: TestClient) -> None:
    answer = fresh.post("/theme", data={"theme": "dark"}, headers=FOR_PEOPLE)
    assert answer.status_code == 403
    assert "Open it anew" in answer.text
    assert "theme" not in fresh.cookies


def test_a_form_with_another_browsers_token_is_refused(fresh: TestClient) -> None:
    other = token(fresh)
    fresh.cookies.clear()
    assert token(fresh) != other
    assert fresh.post("/theme", data={"theme": "dark", "form_token": other}).status_code == 403


def test_an_empty_token_equals_no_cookie_but_is_refused(fresh: TestClient) -> None:
    assert fresh.post("/theme", data={"theme": "dark", "form_token": ""}).status_code == 403
    headers = {"x-form-token": "", "cookie": "form="}
    assert fresh.post("/theme", data={"theme": "dark"}, headers=headers).status_code == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_the_browser_says_comes_from_elsewhere_is_refused(fresh: TestClient, site: str) -> None:
    data = {"theme": "dark", "form_token": token(fresh)}
    assert fresh.post("/theme", data=data, headers={"sec-fetch-site": site}).status_code == 403


def test_a_page_carries_the_token_of_its_cookie(fresh: TestClient) -> None:
    page = fresh.get("/").text
    found = re.search(r'name="form-token" content="([^"]+)"', page)
    assert found is not None
    assert found[1] == fresh.cookies["form"]
    assert f'name="form_token" value="{found[1]}"' in page
    again = fresh.get("/yard")
    assert "set-cookie" not in again.headers
    assert found[1] in again.text


def test_programs_send_the_token_in_a_header(fresh: TestClient) -> None:
    assert fresh.post("/api/v1/echo?number=3").status_code == 403
    answer = fresh.post("/api/v1/echo?number=3", headers={"x-form-token": token(fresh)})
    assert (answer.status_code, answer.json()) == (200, {"number": 3})


# Errors


def test_people_get_a_page_and_programs_problem_details(fresh: TestClient) -> None:
    page = fresh.get("/nowhere", headers=FOR_PEOPLE)
    assert (page.status_code, page.headers["content-type"]) == (404, "text/html; charset=utf-8")
    assert "There is no such page" in page.text
    for path, accept in (("/nowhere", "*/*"), ("/api/v1/nowhere", "text/html")):
        answer = fresh.get(path, headers={"accept": accept})
        assert answer.headers["content-type"] == "application/problem+json"
        assert answer.json()["status"] == answer.status_code == 404


def test_what_breaks_tells_nothing_of_the_inside(fresh: TestClient, caplog: pytest.LogCaptureFixture) -> None:
    for headers in (FOR_PEOPLE, {"accept": "application/json"}):
        answer = fresh.get("/breaks", headers=headers)
        assert answer.status_code == 500
        assert "secret" not in answer.text
        assert "Nothing of yours was changed" in answer.text
    assert "a secret of the machine" in caplog.text


def test_wrong_input_is_told_as_it_is(fresh: TestClient) -> None:
    answer = fresh.get("/input").json()
    assert (answer["status"], answer["detail"]) == (422, "diameter = 0.0: expected a finite number, above zero")
    problems = fresh.get("/job").json()["errors"]
    assert problems == [{"where": "runs[2].pipe", "found": "'<b>'", "expected": "a pipe", "hint": ""}]
    page = fresh.get("/job", headers=FOR_PEOPLE).text
    assert "runs[2].pipe" in page
    assert "<b>" not in page


def test_a_wrong_parameter_is_named(fresh: TestClient) -> None:
    answer = fresh.post("/api/v1/echo?number=three", headers={"x-form-token": token(fresh)})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["where"] == "query.number"


def test_a_method_that_is_not_there_is_told(fresh: TestClient) -> None:
    answer = fresh.get("/theme", headers=FOR_PEOPLE)
    assert answer.status_code == 405
    assert answer.headers["allow"] == "POST"


# Assets


def test_every_asset_is_named_by_its_content_and_kept_for_a_year(fresh: TestClient) -> None:
    assets = read_assets(Settings().assets)
    assert {"office.css", "office.js", "early.js", "yard.js", *FACES} <= set(assets.names)
    for plain, name in assets.names.items():
        assert re.search(r"-[0-9A-Z]{8}\.[a-z]+$", name), plain
        answer = fresh.get(assets.url(plain), headers={"accept-encoding": "identity"})
        assert answer.content == assets.served[name].body
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
        assert "content-encoding" not in answer.headers


def test_a_bundle_of_another_version_is_told_with_what_to_do(tmp_path: Path) -> None:
    """A page that needs a file which was not built says so, where it was an error of the server without a word."""
    before = Settings().assets or _folder()
    shutil.copytree(before, tmp_path / "dist")
    names = json.loads((before / "assets.json").read_text(encoding="utf-8"))
    del names["yard.js"]
    (tmp_path / "dist" / "assets.json").write_text(json.dumps(names), encoding="utf-8")
    known = Settings(store=f"sqlite:///{tmp_path / 'store.sqlite'}", workers=1, assets=tmp_path / "dist")
    with TestClient(make_app(known), base_url=HERE, raise_server_exceptions=False) as client:
        assert client.get("/", headers=FOR_PEOPLE).status_code == 200
        answer = client.get("/yard", headers=FOR_PEOPLE)
        assert answer.status_code == 503
        assert answer.headers["content-type"].startswith("text/html")
        assert "found no &#x27;yard.js&#x27; in its bundle" in answer.text
        assert "Run: python -m pip install" in answer.text
        assert client.get("/yard").json()["status"] == 503
    with pytest.raises(InputError, match=r"found no assets\.json; .* Run: python -m pip install"):
        make_app(Settings(store="sqlite:///none.sqlite", assets=tmp_path))


def test_texts_are_packed_for_those_who_take_it(fresh: TestClient) -> None:
    assets = read_assets(Settings().assets)
    with fresh.stream("GET", assets.url("office.css"), headers={"accept-encoding": "gzip"}) as answer:
        assert answer.headers["content-encoding"] == "gzip"
        assert gzip.decompress(b"".join(answer.iter_raw())) == assets.served[assets.names["office.css"]].body


def test_the_style_sheet_names_the_fonts_that_are_served(fresh: TestClient) -> None:
    assets = read_assets(Settings().assets)
    sheet = assets.served[assets.names["office.css"]].body.decode()
    fonts = re.findall(r"url\(\"?([^)\"]+)\"?\)", sheet)
    assert sorted(fonts) == sorted(assets.names[face] for face in FACES)
    for font in fonts:
        assert fresh.get(f"/assets/{font}").content[:4] == b"wOFF"


@pytest.mark.parametrize("name", ["..%2fassets.json", "assets.json", "worker.js", ".stamp", "%2e%2e"])
def test_nothing_else_is_served(fresh: TestClient, name: str) -> None:
    assert fresh.get(f"/assets/{name}").status_code == 404


def test_a_missing_bundle_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"expected the front end's bundle. Run: "):
        read_assets(tmp_path)


def test_the_service_worker_keeps_all_that_the_yard_needs(fresh: TestClient) -> None:
    answer = fresh.get("/worker.js")
    assert answer.headers["cache-control"] == "no-cache"
    assert answer.headers["service-worker-allowed"] == "/"
    kept = json.loads(answer.text.splitlines()[0].removeprefix("self.KEEP=").removesuffix(";"))
    for path in (*kept["assets"], *kept["pages"]):
        assert fresh.get(path).status_code == 200, path
    page = fresh.get("/yard").text
    for address in re.findall(r'(?:src|href)="(/assets/[^"]+)"', page):
        assert address in kept["assets"]


def test_the_manifest_names_pictures_that_are_served(fresh: TestClient) -> None:
    answer = fresh.get("/manifest.webmanifest")
    assert answer.headers["content-type"] == "application/manifest+json"
    for icon in answer.json()["icons"]:
        assert fresh.get(icon["src"]).headers["content-type"] == icon["type"]
    assert fresh.get("/favicon.ico").status_code == 200


def test_licences_of_what_is_shipped_are_shown(fresh: TestClient) -> None:
    text = fresh.get("/licences.txt").text
    assert "idb" in text
    assert "SIL Open Font License" in text


# Pages


class Outline(HTMLParser):
    """What a page is made of."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))


@pytest.mark.parametrize("path", ["/", "/yard", "/offline", "/nowhere"])
def test_pages_have_a_language_one_heading_and_no_inline_script(fresh: TestClient, path: str) -> None:
    outline = Outline()
    outline.feed(fresh.get(path, headers=FOR_PEOPLE).text)
    tags = outline.tags
    assert next(attributes["lang"] for tag, attributes in tags if tag == "html") == "en"
    assert sum(tag == "h1" for tag, _ in tags) == sum(tag == "main" for tag, _ in tags) == 1
    assert next(attributes for tag, attributes in tags if tag == "a")["href"] == "#content"
    assert any(attributes.get("id") == "content" for _, attributes in tags)
    for tag, attributes in tags:
        assert tag != "style"
        assert tag != "script" or attributes.get("src", "").startswith("/assets/")  # type: ignore[union-attr]
        assert not any(name == "style" or name.startswith("on") for name in attributes)
    identifiers = [attributes["id"] for _, attributes in tags if "id" in attributes]
    assert len(identifiers) == len(set(identifiers))
    labels = {attributes.get("for") for tag, attributes in tags if tag == "label"}
    for tag, attributes in tags:
        if tag in {"input", "select"} and attributes.get("type") != "hidden":
            assert attributes["id"] in labels


def test_a_theme_is_kept_without_script(fresh: TestClient) -> None:
    data = {"theme": "sunlight", "form_token": token(fresh), "back": "/yard?x=1"}
    answer = fresh.post("/theme", data=data, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/yard?x=1")
    assert '<html lang="en" data-theme="sunlight">' in fresh.get("/").text


def test_an_unknown_theme_is_not_kept(fresh: TestClient) -> None:
    fresh.post("/theme", data={"theme": "x; domain=a", "form_token": token(fresh)}, follow_redirects=False)
    assert "theme" not in fresh.cookies
    fresh.cookies.set("theme", '"><script>')
    assert 'data-theme="light"' in fresh.get("/").text


@pytest.mark.parametrize(
    "address",
    [
        "//evil.example",
        "https://evil.example/",
        "/\\evil.example",
        "javascript:alert(1)",
        "",
        "x",
        "/a\nb",
        "///evil.example",
    ],
)
def test_the_way_back_never_leads_elsewhere(address: str) -> None:
    assert own_path(address) == "/"


# Colours: WCAG 2.2, success criteria 1.4.3 and 1.4.11, with the formula of relative luminance given there (from memory)


def tokens(theme: str) -> dict[str, str]:
    sheet = STYLE.read_text(encoding="utf-8")
    base = re.search(r"^:root \{(.*?)^\}", sheet, re.MULTILINE | re.DOTALL)
    own = re.search(rf'^:root\[data-theme="{theme}"\] \{{(.*?)^\}}', sheet, re.MULTILINE | re.DOTALL)
    assert base is not None
    assert theme == "light" or own is not None
    text = base[1] + (own[1] if own else "")
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", text))


def luminance(colour: str) -> float:
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


GROUNDS = ("ground", "sheet", "accent-wash", "attention-wash", "fails-wash")
INKS = ("ink", "soft", "accent", "attention", "fails")


def test_the_formula_of_contrast_is_right() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # widely quoted: just fails AA; from memory


@pytest.mark.parametrize(("theme", "ink", "ground"), list(product(THEMES, INKS, GROUNDS)))
def test_text_can_be_read_on_every_ground(theme: str, ink: str, ground: str) -> None:
    colours = tokens(theme)
    least = 7.0 if theme == "sunlight" else 4.5
    assert contrast(colours[ink], colours[ground]) >= least


@pytest.mark.parametrize("theme", THEMES)
def test_edges_and_buttons_can_be_seen(theme: str) -> None:
    colours = tokens(theme)
    for ground in ("ground", "sheet"):
        assert contrast(colours["edge"], colours[ground]) >= 3.0
    assert contrast(colours["on-accent"], colours["accent"]) >= 4.5
    assert contrast(colours["ground"], colours["ink"]) >= 7.0  # the theme button that is pressed
