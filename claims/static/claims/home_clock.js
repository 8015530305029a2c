"use strict";
// A new record starts with the browser's time zone instead of UTC; a choice already made stays.
(() => {
  const box = document.querySelector("select[name=time_zone]");
  if (!box || box.value !== "UTC") return;
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if ([...box.options].some((option) => option.value === zone)) box.value = zone;
})();
