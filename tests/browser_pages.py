"""What `tests/browser` looks at in a real browser: browser_pages.py BROWSER ADDRESS [FOLDER FOR SCREENSHOTS]"""

import http.server
import json
import pathlib
import sys
import threading
import urllib.request

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect, sync_playwright

BROWSER, ADDRESS = sys.argv[1], sys.argv[2].rstrip("/")
SHOTS = pathlib.Path(sys.argv[3]) if len(sys.argv) > 3 and sys.argv[3] else None
DONE = []


def check(name):
    """Names a check, runs it in a page of its own, and holds it to a silent console."""

    def wrap(work):
        DONE.append((name, work))
        return work

    return wrap


def shot(page, name):
    if SHOTS:
        SHOTS.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=SHOTS / f"{name}.png", full_page=True)


def ids():
    with urllib.request.urlopen(f"{ADDRESS}/v1/designs?limit=100") as answer:
        return {item["title"]: item["id"] for item in json.load(answer)["items"]}


def accessible(page, name):
    """No violation that axe-core knows of, frames and shadow trees included."""
    found = Axe().run(page)
    assert len(found.response["passes"]) > 10, f"{name}: the checker has looked at nothing"
    assert found.violations_count == 0, f"{name}:\n{found.generate_report()}"


@check("pages for people")
def _(page):
    for path, words in [
        ("/", "curl --data-binary @mitts.txt"),
        ("/problems/not-utf-8", "What to do"),
        ("/v1/rules/stitches-run-out", "How to read the working"),
        # This heading comes out of the document, so the reference has been fetched, read and drawn.
        ("/docs/", "Verify one written pattern"),
    ]:
        page.goto(ADDRESS + path)
        expect(page.get_by_text(words).first).to_be_visible(timeout=20_000)


@check("the demo blog: the element and the frame show the counts")
def _(page):
    page.goto(f"{ADDRESS}/demo")
    element = page.locator("evenround-counts")
    expect(element.get_by_role("heading", name="Curlew Cap")).to_be_visible()
    expect(element.get_by_role("row", name="Rnd 5 40 40 40 40 40")).to_be_visible()
    frame = page.frame_locator("iframe")
    page.locator("iframe").scroll_into_view_if_needed()
    expect(frame.get_by_role("row", name="Round 10 70")).to_be_visible()
    shot(page, "demo")
    accessible(page, "the demo blog")


@check("the demo blog: sizes and units by mouse")
def _(page):
    page.goto(f"{ADDRESS}/demo")
    element = page.locator("evenround-counts")
    expect(element.get_by_text("cm around").first).to_be_visible()
    element.get_by_label("in", exact=True).check()
    expect(element.get_by_text("in around").first).to_be_visible()
    expect(element.get_by_text("cm around")).to_have_count(0)
    element.get_by_label("Size").select_option("child")
    expect(element.get_by_role("columnheader", name="child").first).to_be_visible()
    expect(element.get_by_role("columnheader", name="toddler")).to_have_count(0)
    expect(element.get_by_role("row", name="Rnd 7 56")).to_be_visible()
    shot(page, "demo-child-inches")
    frame = page.frame_locator("iframe")
    page.locator("iframe").scroll_into_view_if_needed()
    frame.get_by_role("link", name="in, oz").click()
    expect(frame.get_by_text("in around").first).to_be_visible()
    expect(frame.get_by_text("cm around")).to_have_count(0)


@check("the demo blog: sizes and units by keyboard")
def _(page):
    page.goto(f"{ADDRESS}/demo")
    element = page.locator("evenround-counts")
    expect(element.get_by_role("heading", name="Curlew Cap")).to_be_visible()
    page.keyboard.press("Tab")
    expect(element.get_by_label("Size")).to_be_focused()
    page.keyboard.type("toddler")
    expect(element.get_by_role("columnheader", name="adult man")).to_have_count(0)
    # The control keeps the focus although all around it is drawn anew.
    expect(element.get_by_label("Size")).to_be_focused()
    page.keyboard.press("Tab")
    expect(element.get_by_label("cm", exact=True)).to_be_focused()
    page.keyboard.press("ArrowRight")
    expect(element.get_by_label("in", exact=True)).to_be_checked()
    expect(element.get_by_label("in", exact=True)).to_be_focused()
    expect(element.get_by_text("in around").first).to_be_visible()
    # The tables can be scrolled by keyboard, so they can be reached by it.
    page.keyboard.press("Tab")
    expect(element.get_by_role("region", name="Stitch counts, Crown")).to_be_focused()
    # In the frame it is links.
    frame = page.frame_locator("iframe")
    page.locator("iframe").scroll_into_view_if_needed()
    frame.get_by_role("link", name="both").focus()
    page.keyboard.press("Enter")
    expect(frame.get_by_text("cm (").first).to_be_visible()


@check("the frame by itself")
def _(page):
    for path in ["curlew-cap/embed", "curlew-cap/embed?units=imperial&size=child", "tidepool-hexagon/embed", "sea-lavender-bonnet/counts.html"]:
        page.goto(f"{ADDRESS}/v1/designs/{path}")
        expect(page.get_by_role("table").first).to_be_visible()
        accessible(page, path)
    shot(page, "counts")


class Blog(http.server.BaseHTTPRequestHandler):
    """A blog on another origin, under a strict policy of its own."""

    def do_GET(self):
        policy = (
            f"default-src 'none'; script-src {ADDRESS}; connect-src {ADDRESS}; frame-src {ADDRESS}; base-uri 'none'; "
            "require-trusted-types-for 'script'"
        )
        body = f"""<!doctype html><html lang="en"><head><title>Another blog</title>
            <script type="module" src="{ADDRESS}/embed.js"></script></head><body><main><h1>Another blog</h1>
            <evenround-counts design="tidepool-hexagon"></evenround-counts>
            <iframe src="{ADDRESS}/v1/designs/eelgrass-mitts/embed" title="Counts" width="600" height="400"></iframe>
            <evenround-counts design="no-such-design"></evenround-counts>
            </main></body></html>""".encode()
        if self.path != "/":
            self.send_error(404)
            return
        self.send_response(200)
        self.send_header("content-type", "text/html; charset=utf-8")
        self.send_header("content-security-policy", policy)
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        pass


@check("a blog on another origin, under a strict policy")
def _(page):
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Blog)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    # The missing design is missed in the console, and nothing else is.
    page.allowed = lambda text: "404" in text
    page.goto(f"http://localhost:{server.server_port}/")
    first = page.locator("evenround-counts").first
    expect(first.get_by_role("row", name="Round 10 144").first).to_be_visible()
    # Its style is there: the policy of the page cannot take it away.
    colour = first.locator("h2").evaluate("(heading) => getComputedStyle(heading).color")
    assert colour == "rgb(11, 85, 99)", colour
    expect(page.frame_locator("iframe").get_by_role("heading", name="Eelgrass Mitts")).to_be_visible()
    missing = page.locator("evenround-counts").last
    expect(missing.get_by_text("could not be loaded")).to_be_visible()
    shot(page, "another-origin")
    server.shutdown()


@check("the element is themed by the page")
def _(page):
    page.goto(f"{ADDRESS}/demo")
    element = page.locator("evenround-counts")
    expect(element.get_by_role("heading", name="Curlew Cap")).to_be_visible()
    colour = page.evaluate(
        """() => { const element = document.querySelector("evenround-counts");
            element.style.setProperty("--evenround-accent", "rgb(120, 40, 90)");
            return getComputedStyle(element.shadowRoot.querySelector("h2")).color; }"""
    )
    assert colour == "rgb(120, 40, 90)", colour


@check("the printed pattern")
def _(page):
    known = ids()
    page.set_extra_http_headers({"accept": "text/html"})
    for title, query in [("Curlew Cap", ""), ("Sea Lavender Bonnet", "?terms=us"), ("Curlew Cushion Front", "?size=36 cm"), ("Tidepool Hexagon", "?terms=uk")]:
        page.goto(f"{ADDRESS}/v1/designs/{known[title]}/pattern{query}")
        expect(page.get_by_role("heading", name=title, level=1)).to_be_visible()
        accessible(page, title)
        pdf = page.pdf(prefer_css_page_size=True)
        assert pdf.startswith(b"%PDF") and pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page ") >= 2, f"{title}: {len(pdf)} bytes"
        if SHOTS:
            SHOTS.mkdir(parents=True, exist_ok=True)
            (SHOTS / f"{title}.pdf".lower().replace(" ", "-")).write_bytes(pdf)


@check("charts and pictures to scale are drawn")
def _(page):
    known = ids()
    # Two designs of the collection tell no gauge, and are not drawn to scale.
    page.allowed = lambda text: "422" in text
    for title, id in known.items():
        slug = title.lower().replace(" ", "-")
        for path in [f"{id}/chart.svg", f"{id}/chart.svg?hand=left", f"{slug}/schematic.svg"]:
            answer = page.goto(f"{ADDRESS}/v1/designs/{path}")
            if path.endswith("schematic.svg") and answer.status == 422:
                continue
            assert answer.status == 200, f"{path}: {answer.status}"
            size = page.evaluate("() => { const box = document.documentElement.getBoundingClientRect(); return [box.width, box.height]; }")
            assert size[0] > 100 and size[1] > 50, f"{path}: {size}"
            title_there = page.evaluate("() => document.querySelector('svg > title')?.textContent && document.querySelector('svg > desc')?.textContent")
            assert title_there, path
            if SHOTS and path.endswith(".svg"):
                # A picture by itself cannot be photographed, one in a page can.
                page.goto(f"{ADDRESS}/demo")
                page.evaluate(
                    "(address) => new Promise((done) => { const image = new Image(); image.onload = done; image.src = address; "
                    "image.width = 960; document.body.replaceChildren(image); })",
                    f"/v1/designs/{path}",
                )
                shot(page, f"{'chart' if 'chart' in path else 'schematic'}-{slug}")


def main():
    failed = 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        for name, work in DONE:
            context = browser.new_context(viewport={"width": 1000, "height": 900})
            page = context.new_page()
            page.allowed = lambda text: False
            said = []
            page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
            page.on("pageerror", lambda error: said.append(f"error: {error}"))
            try:
                work(page)
                said = [text for text in said if not page.allowed(text)]
                assert not said, "the console says: " + "; ".join(said)
                print(f"ok {name}", flush=True)
            except Exception as error:  # every check is told, whatever went wrong in one of them
                failed += 1
                print(f"FAILED {name}: {error}", file=sys.stderr, flush=True)
            context.close()
        # Without script the frame still shows the table.
        context = browser.new_context(java_script_enabled=False)
        page = context.new_page()
        page.goto(f"{ADDRESS}/demo")
        page.locator("iframe").scroll_into_view_if_needed()
        try:
            expect(page.frame_locator("iframe").get_by_role("row", name="Round 10 70")).to_be_visible()
            expect(page.get_by_role("link", name="on a page of their own")).to_be_visible()
            print("ok without script", flush=True)
        except Exception as error:
            failed += 1
            print(f"FAILED without script: {error}", file=sys.stderr, flush=True)
        browser.close()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
