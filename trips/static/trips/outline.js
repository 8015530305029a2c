"use strict";
// Drawing an outline. The text box is the one place where the corners live: clicks and drags
// write into it, and whatever is typed there is drawn. Without a pointer the box is enough.

(() => {
  const element = document.querySelector(".map[data-draws]");
  const box = element && document.getElementById(element.dataset.draws);
  const tools = document.querySelector(".drawing");
  if (!box || !tools) return;
  const status = tools.querySelector("[role=status]");
  const NUMBER = "[-\u2212]?\\d+(?:\\.\\d+)?";
  const LINE = new RegExp(`^\\s*(${NUMBER})[\\s,]+(${NUMBER})[\\s,]*$`);
  let rings = [];
  let layer = null;

  // null: the box holds something that only the server reads, e.g. GeoJSON.
  function read() {
    const found = [[]];
    for (const line of box.value.split("\n")) {
      if (!line.trim()) {
        if (found[found.length - 1].length) found.push([]);
        continue;
      }
      const parts = LINE.exec(line);
      if (!parts) return null;
      const [lat, lon] = [parts[1], parts[2]].map((text) => Number(text.replace("\u2212", "-")));
      if (Math.abs(lat) > 90 || Math.abs(lon) > 180) return null;
      found[found.length - 1].push([lat, lon]);
    }
    return found;
  }

  function write() {
    box.value = rings.map((ring) => ring.map(([lat, lon]) =>
      `${lat.toFixed(6)}, ${lon.toFixed(6)}`).join("\n")).join("\n\n").replace(/\n+$/, "");
  }

  function corner(map, ring, index) {
    const shape = document.createElement("span");
    shape.className = "m-shape m-corner";
    const mark = L.marker(ring[index], { draggable: true, keyboard: false,
      icon: L.divIcon({ className: "m-mark", html: shape, iconSize: [32, 32] }) });
    mark.on("dragend", () => {
      const at = mark.getLatLng().wrap();
      ring[index] = [at.lat, at.lng];
      write();
      paint(map);
    });
    return mark;
  }

  function paint(map) {
    layer.clearLayers();
    const found = read();
    tools.querySelectorAll("button").forEach((button) => { button.disabled = found === null; });
    if (found === null) {
      rings = [];
      status.textContent = ledgerMap.WORDS.not_lines;
      return;
    }
    rings = found;
    for (const ring of rings) {
      if (ring.length > 1) L.polygon(ring, { className: "m-draft", interactive: false }).addTo(layer);
      ring.forEach((point, index) => corner(map, ring, index).addTo(layer));
    }
    const corners = rings.reduce((sum, ring) => sum + ring.length, 0);
    status.textContent = ledgerMap.WORDS.corners.replace("{count}", String(corners));
  }

  ledgerMap.show(element).then((map) => {
    layer = L.layerGroup().addTo(map);
    tools.hidden = false;
    paint(map);
    const drawn = L.featureGroup(layer.getLayers()).getBounds();
    if (drawn.isValid()) map.fitBounds(drawn.pad(0.2), { maxZoom: 18 });
    box.addEventListener("input", () => paint(map));
    map.on("click", (event) => {
      if (read() === null) return;
      const at = event.latlng.wrap();
      rings[rings.length - 1].push([at.lat, at.lng]);
      write();
      paint(map);
    });
    tools.addEventListener("click", (event) => {
      const what = event.target.dataset && event.target.dataset.do;
      if (!what) return;
      if (what === "clear") rings = [[]];
      if (what === "undo") {
        while (rings.length > 1 && !rings[rings.length - 1].length) rings.pop();
        rings[rings.length - 1].pop();
      }
      write();
      paint(map);
    });
  });
})();
