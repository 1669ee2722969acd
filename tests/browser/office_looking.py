"""What a page of the office must hold to in a browser. Each look gives the faults that it found as sentences."""

from __future__ import annotations

from pathlib import Path

AXE = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
NARROW, WIDE = (320, 390), {"width": 1280, "height": 900}
_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
_PRESSED = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']"

_INLINE = """() => [
  ...[...document.scripts].filter((each) => !each.src).map(() => "a script in the page"),
  ...[...document.querySelectorAll("style")].map(() => "a style in the page"),
  ...[...document.querySelectorAll("*")].flatMap((each) => [...each.attributes]
      .filter((one) => one.name === "style" || one.name.startsWith("on"))
      .map((one) => `${one.name} on <${each.tagName.toLowerCase()}>`)),
]"""
_OPEN_ALL = "() => document.querySelectorAll('main details').forEach((each) => { each.open = true; })"
_AXE = """async (only) => {
  const { violations } = await axe.run({ runOnly: only, resultTypes: ["violations"] });
  const said = (node) => `${node.target.join(" ")} ${[...node.any, ...node.all][0]?.message ?? ""}`;
  return violations.map((each) => `axe ${each.id}: ${each.nodes.slice(0, 3).map(said).join("; ")}`);
}"""
# What is cut off: text in a box that hides what does not fit.
_CUT = """() => [...document.querySelectorAll("body *:not(.unseen)")]
  .filter((each) => each.children.length === 0 && each.textContent.trim() && each.checkVisibility() && !each.closest(".unseen, .skip, svg"))
  .filter((each) => ["hidden", "clip"].includes(getComputedStyle(each).overflowX) && each.scrollWidth > each.clientWidth + 1)
  .map((each) => each.textContent.trim().slice(0, 60))"""
_TOO_WIDE = """(width) => [...document.querySelectorAll("main *, header *, footer *")]
  .filter((each) => each.getBoundingClientRect().right > width + 1 && each.checkVisibility())
  .slice(0, 3).map((each) => `<${each.tagName.toLowerCase()} class="${each.getAttribute("class") ?? ""}">`).join(", ")"""
_TEXT_PX = "() => parseFloat(getComputedStyle(document.body).fontSize)"
_LISTEN = """(pressed) => {
  document.querySelectorAll("details").forEach((each) => { each.open = true; });
  const groups = new Set();
  const wanted = [...document.querySelectorAll(pressed)].filter((each) => {
    if (each.disabled || each.tabIndex < 0 || !each.checkVisibility({ visibilityProperty: true })) return false;
    if (each.type !== "radio") return true;
    const group = `${each.form?.action} ${each.name}`;
    return !groups.has(group) && groups.add(group);
  });
  const watch = { wanted, reached: new Set(), pale: new Set() };
  window.watch = watch;
  document.addEventListener("focusin", ({ target }) => {
    const style = getComputedStyle(target);
    watch.reached.add(target.type === "radio" ? wanted.find((each) => each.name === target.name && each.form === target.form) : target);
    if (style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2) watch.pale.add(target);
  });
  document.activeElement?.blur();
  window.getSelection().removeAllRanges();
  return wanted.length;
}"""
_WATCHED = """() => {
  const name = (each) => `${each.tagName.toLowerCase()} “${(each.innerText || each.name || each.id || "").trim().slice(0, 40)}”`;
  const { wanted, reached, pale } = window.watch;
  return [
    ...wanted.filter((each) => !reached.has(each)).map((each) => `not reached by the Tab key: ${name(each)}`),
    ...[...pale].map((each) => `no visible focus: ${name(each)}`),
  ];
}"""


def axe_faults(page, tags=None) -> list[str]:
    """What axe-core finds, each with where it is. `tags` may name single rules instead of whole standards."""
    page.evaluate("(axe) => { if (!window.axe) (0, eval)(axe); }", AXE)
    only = {"type": "rule", "values": tags} if tags else {"type": "tag", "values": _TAGS}
    return page.evaluate(_AXE, only)


def too_wide(page, width: int, words: str = "") -> list[str]:
    """Whether the page is wider than the screen; what scrolls in its own box is not."""
    shown = page.evaluate("() => document.documentElement.scrollWidth")
    return [f"{shown} px wide on {width} px{words}: {page.evaluate(_TOO_WIDE, width)}"] if shown > width else []


def narrow_faults(page) -> list[str]:
    """On two small phones, light, everything opened."""
    found = []
    for width in NARROW:
        page.set_viewport_size({"width": width, "height": 700})
        found += too_wide(page, width)
    found += axe_faults(page, ["target-size", "color-contrast"])
    page.set_viewport_size(WIDE)
    return found


def large_text_faults(page) -> list[str]:
    """With the reader's own text size twice as large nothing is cut off and nothing leaves the screen."""
    found = []
    browser = page.context.new_cdp_session(page)
    before = page.evaluate(_TEXT_PX)
    browser.send("Page.setFontSizes", {"fontSizes": {"standard": 32, "fixed": 26}})
    found += [] if page.evaluate(_TEXT_PX) == 2 * before else ["the text does not follow the reader's own size"]
    for width in (1280, 640):
        page.set_viewport_size({"width": width, "height": 900})
        found += too_wide(page, width, ", text twice as large")
    found += [f"cut off with text twice as large: {each}" for each in page.evaluate(_CUT)]
    browser.send("Page.setFontSizes", {"fontSizes": {"standard": 16, "fixed": 13}})
    page.set_viewport_size(WIDE)
    browser.detach()
    return found


def key_faults(page) -> list[str]:
    """Every control is reached by the Tab key, and shows it."""
    count = page.evaluate(_LISTEN, _PRESSED)
    for _ in range(count + 3):
        page.keyboard.press("Tab")
    return page.evaluate(_WATCHED)


def page_faults(page) -> list[str]:
    """Everything that can be asked of a page that is shown, without asking for it again."""
    found = page.evaluate(_INLINE)
    page.evaluate(_OPEN_ALL)
    page.emulate_media(color_scheme="light")
    found += axe_faults(page)
    page.emulate_media(color_scheme="dark")
    found += [f"{each} (dark)" for each in axe_faults(page, ["color-contrast"])]
    page.emulate_media(color_scheme="light")
    found += narrow_faults(page)
    found += large_text_faults(page)
    return found + key_faults(page)
