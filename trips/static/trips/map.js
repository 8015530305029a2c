"use strict";
// Maps: a grid and a scale instead of tiles, unless the installation names a tile server.
// Names of sites and spots are text of people: they only ever become text nodes.

const ledgerMap = (() => {
  const STEPS = [90, 45, 30, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001,
    0.0005, 0.0002, 0.0001, 0.00005, 0.00002, 0.00001];
  const SIZES = { site: 16, spot: 14, hole: 24, photo: 14, waypoint: 12 };
  const NAMED = ["site", "spot", "waypoint"];
  // In the reader's language; all maps of a page bring the same.
  const first = document.querySelector(".map[data-words]");
  const WORDS = first ? JSON.parse(first.dataset.words) : {};

  function degrees(value, step, plus, minus) {
    const digits = Math.max(0, Math.ceil(-Math.log10(step)));
    return `${Math.abs(value).toFixed(digits)}° ${value < 0 ? minus : plus}`;
  }

  // Lines of latitude and longitude in the largest round step that has at least four of them.
  // Latitudes are named at the right edge, longitudes at the top, where nothing else stands.
  function drawGrid(map, layer) {
    layer.clearLayers();
    const box = map.getBounds();
    const south = Math.max(-85, box.getSouth());
    const north = Math.min(85, box.getNorth());
    const west = box.getWest();
    const east = box.getEast();
    const span = Math.min(north - south, east - west);
    const step = STEPS.find((each) => span / each >= 4) || STEPS[STEPS.length - 1];
    const line = (points) => L.polyline(points,
      { className: "m-grid", interactive: false, smoothFactor: 0 }).addTo(layer);
    for (let n = Math.ceil(south / step); n * step <= north; n += 1) {
      line([[n * step, west], [n * step, east]]);
      const named = degrees(n * step, step, WORDS.north, WORDS.south);
      text([n * step, east], named, "m-grid-label m-right", [94, 17]).addTo(layer);
    }
    let last = 64;
    for (let n = Math.ceil(west / step); n * step <= east; n += 1) {
      const lon = ((n * step + 540) % 360) - 180;
      line([[south, n * step], [north, n * step]]);
      const at = map.latLngToContainerPoint([north, n * step]).x;
      if (at >= last && at < map.getSize().x - 90) {
        const named = degrees(lon, step, WORDS.east, WORDS.west);
        text([north, n * step], named, "m-grid-label", [-4, -3]).addTo(layer);
        last = at + 84;
      }
    }
  }

  function text(at, words, className, anchor) {
    const mark = document.createElement("span");
    mark.textContent = words;
    return L.marker(at, { interactive: false, keyboard: false,
      icon: L.divIcon({ className, html: mark, iconSize: [90, 16], iconAnchor: anchor }) });
  }

  // Names beside their marks, in order; one that would lie on another mark or name is left out.
  function drawNames(map, layer, named) {
    layer.clearLayers();
    const points = named.map(([at]) => map.latLngToContainerPoint(at));
    const taken = points.map((at) => [at.x - 10, at.y - 10, at.x + 10, at.y + 10]);
    named.forEach(([at, name, className], index) => {
      const { x, y } = points[index];
      const box = [x + 12, y - 9, x + 16 + name.length * 8, y + 9];
      const free = taken.every((other, n) => n === index || box[2] < other[0] || box[0] > other[2]
        || box[3] < other[1] || box[1] > other[3]);
      if (!free || x < 0 || y < 0) return;
      taken.push(box);
      text(at, name, `m-name ${className}`, [-13, 9]).addTo(layer);
    });
  }

  function base(element) {
    const note = element.querySelector(".map-note");
    if (note) note.remove();
    const map = L.map(element, { attributionControl: false, worldCopyJump: false,
      maxZoom: 19, minZoom: 1, zoomAnimation: false, fadeAnimation: false,
      markerZoomAnimation: false });
    L.control.scale({ position: "bottomleft", maxWidth: 140 }).addTo(map);
    if (element.dataset.tiles) {
      // Only for tiles: their servers ask where a request comes from, and nothing else of ours does.
      L.tileLayer(element.dataset.tiles,
        { maxZoom: 19, referrerPolicy: "strict-origin-when-cross-origin" }).addTo(map);
      addCredit(map, element.dataset.attribution, element.dataset.attributionUrl);
    }
    const grid = L.layerGroup().addTo(map);
    map.on("moveend", () => drawGrid(map, grid));
    return map;
  }

  function addCredit(map, text, address) {
    const credit = L.control({ position: "bottomright" });
    credit.onAdd = () => {
      const words = document.createElement("p");
      words.className = "m-words";
      const inner = address ? document.createElement("a") : document.createElement("span");
      if (address) inner.href = address;
      inner.textContent = text;
      words.append(inner);
      return words;
    };
    credit.addTo(map);
  }

  function popupOf(told) {
    const box = document.createElement("div");
    const name = document.createElement("strong");
    name.textContent = told.name;
    box.append(name);
    if (told.detail) {
      const detail = document.createElement("p");
      detail.textContent = told.detail;
      box.append(detail);
    }
    // Only addresses of this site: they come from the server, but cost nothing to check.
    if (told.address && /^\/[^/\\]/.test(told.address)) {
      const more = document.createElement("p");
      const link = document.createElement("a");
      link.href = told.address;
      link.textContent = WORDS.open;
      more.append(link);
      box.append(more);
    }
    return box;
  }

  function mark(feature, at) {
    const told = feature.properties;
    const shape = document.createElement("span");
    shape.className = `m-shape m-${told.kind}`;
    const size = SIZES[told.kind] || 14;
    // Marks crowd each other at small scales, so they take no place in the order of keys: the list
    // beside every map has the same links. A hole lies at its spot, whose mark answers for both.
    const marker = L.marker(at, { keyboard: false, interactive: told.kind !== "hole",
      title: `${WORDS[told.kind] || ""} ${told.name}`.trim(),
      zIndexOffset: told.kind === "hole" ? -100 : 0, icon: L.divIcon(
        { className: "m-mark", html: shape, iconSize: [Math.max(24, size), Math.max(24, size)] }) });
    return marker;
  }

  // A line that jumps over the date line is drawn on, not around the world.
  function unwrapped(coordinates) {
    let last = null;
    return coordinates.map(([lon, lat]) => {
      let at = lon;
      while (last !== null && at - last > 180) at -= 360;
      while (last !== null && at - last < -180) at += 360;
      last = at;
      return [lat, at];
    });
  }

  function draw(map, data) {
    const all = L.featureGroup();
    const lines = data.features.filter((each) => each.geometry.type === "MultiLineString");
    for (const feature of lines) {
      const first = feature.geometry.coordinates[0];
      if (!first) continue;
      const parts = feature.geometry.coordinates.map(unwrapped);
      L.polyline(parts, { className: "m-halo", interactive: false }).addTo(all);
      L.polyline(parts, { className: "m-track" }).bindPopup(() => popupOf(feature.properties))
        .addTo(all);
    }
    L.geoJSON({ type: "FeatureCollection",
      features: data.features.filter((each) => each.geometry.type !== "MultiLineString") }, {
      pointToLayer: mark,
      style: (feature) => (feature.geometry.type === "Point" ? {} : { className: "m-outline" }),
      onEachFeature: (feature, layer) => {
        if (feature.properties.kind !== "hole") layer.bindPopup(() => popupOf(feature.properties));
      },
    }).addTo(all);
    all.addTo(map);
    const named = data.features
      .filter((each) => each.geometry.type === "Point" && NAMED.includes(each.properties.kind))
      .map((each) => [[each.geometry.coordinates[1], each.geometry.coordinates[0]],
        each.properties.name.slice(0, 40), `m-name-${each.properties.kind}`]);
    const names = L.layerGroup().addTo(map);
    map.on("moveend", () => drawNames(map, names, named));
    const bounds = all.getBounds();
    if (bounds.isValid()) {
      map.fitBounds(bounds.pad(0.1), { maxZoom: 16 });
      fitOnPaper(map, bounds);
      return true;
    }
    map.setView([0, 0], 1);
    return false;
  }

  // A sheet of paper is smaller than the screen: all that is on the map comes onto it, and what was
  // looked at before comes back.
  function fitOnPaper(map, bounds) {
    let before = null;
    window.matchMedia("print").addEventListener("change", (media) => {
      if (media.matches) before = [map.getCenter(), map.getZoom()];
      map.invalidateSize({ animate: false, pan: false });
      if (media.matches) map.fitBounds(bounds.pad(0.1), { maxZoom: 16, animate: false });
      else if (before) map.setView(before[0], before[1], { animate: false });
    });
  }

  function say(element, text) {
    const note = document.createElement("p");
    note.className = "map-note";
    note.textContent = text;
    element.after(note);
  }

  async function show(element) {
    const map = base(element);
    try {
      const answer = await fetch(element.dataset.source, { credentials: "same-origin" });
      if (!answer.ok) throw new Error(String(answer.status));
      if (!draw(map, await answer.json())) {
        say(element, WORDS.empty);
      }
    } catch {
      map.setView([0, 0], 1);
      say(element, WORDS.failed);
    }
    element.dataset.ready = "yes";
    return map;
  }

  return { base, draw, show, say, WORDS };
})();

for (const element of document.querySelectorAll(".map[data-source]:not([data-draws])")) {
  ledgerMap.show(element);
}
