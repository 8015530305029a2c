"""What the browser tests of the field page share: its trip, its buttons, the phone's database."""

import datetime as dt

from playwright.sync_api import expect

from tests import factories as make

ENTRIES = """() => new Promise((done, failed) => {
  const request = indexedDB.open("gravel-field");
  request.onerror = () => failed(request.error);
  request.onsuccess = () => {
    const all = request.result.transaction("entries").objectStore("entries").getAll();
    all.onsuccess = () => { request.result.close(); done(all.result); };
  };
})"""
# Many entries through the page's own modules: what a button does, without the finger.
MANY = """async count => {
  const state = await import("/static/trips/field/state.js");
  for (let n = 0; n < count; n += 1) {
    await state.keep("pan", { spot: state.state.prefs.spot, day: state.day(), layer: "gravel",
      volume: "5.5 L", coarse: null, medium: "0", fine: String(n) });
  }
}"""


def make_day(today: dt.date | None = None):
    """A party with a trip today, two people, a spot and a box: what a phone would fetch."""
    party = make.make_party(name="Marl Beck people", pan_volume_ml=5_500)
    user = make.make_member(party).user
    me = make.make_person(party, "Ada", user=user)
    day = today or dt.datetime.now(dt.UTC).date()
    trip = make.make_trip(
        party,
        name="Marl Beck",
        state="under_way",
        starts_on=day,
        people=[me, make.make_person(party)],
    )
    site = trip.trip_sites.get().site
    make.make_spot(site, "Bend")
    trip.gear.add(make.make_gear(party, "Long box"))
    return party, user, trip, site


def open_field(page, spot="Bend"):
    """Open the page signed in, wait until trip and shell are kept, choose the spot."""
    page.goto("/field/")
    page.locator("#bar .wait").wait_for()
    page.get_by_role("button", name="Test pan", exact=True).wait_for()
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    if spot:
        page.get_by_label("Spot", exact=True).select_option(label=spot)
    return page


def button(page, name):
    return page.get_by_role("button", name=name, exact=True)


def box(locator):
    """Where it is drawn. A page that draws itself anew just then has no place for it: ask again."""
    for _ in range(20):
        expect(locator).to_be_visible()
        if found := locator.bounding_box():
            return found
    raise AssertionError(f"{locator} has no place on the page")


def lift_thumb(page):
    """As long as a thumb takes to lift and come down: sooner at one place is a bounce."""
    page.wait_for_timeout(400)


def entries(page):
    return page.evaluate(ENTRIES)


def add_many(page, count):
    page.evaluate(MANY, count)


SEND = """async () => {
  const { sendAll } = await import("/static/trips/field/sync.js");
  await navigator.locks.request("gravel-field-send", () => null);  // a sending that runs is over
  await sendAll();
  document.dispatchEvent(new Event("changed"));
}"""


def send_now(page):
    """Send and fetch, and wait until both are done; what was tapped before is kept by then."""
    expect(page.locator("#content")).not_to_have_attribute("aria-busy", "true")
    page.evaluate(SEND)


def go(page, screen):
    """Open a screen and wait until it is the one that is drawn."""
    page.goto(f"/field/#{screen}")
    expect(page.locator("#content")).to_have_attribute("data-screen", screen)


def sent(page):
    send_now(page)
    expect(page.locator("#bar")).to_contain_text("all sent")
