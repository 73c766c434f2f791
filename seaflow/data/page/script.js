// Remembers units and light on this device, and opens what is folded before it is printed.
(() => {
  const keep = (name, value) => { try { localStorage.setItem(name, value); } catch { /* private */ } };
  const kept = (name) => { try { return localStorage.getItem(name); } catch { return null; } };
  for (const name of ["units", "look"]) {
    const before = document.getElementById(kept("seaflow." + name));
    if (before && before.name === name) before.checked = true;
    for (const one of document.getElementsByName(name)) {
      one.addEventListener("change", () => keep("seaflow." + name, one.id));
    }
  }
  const narrow = matchMedia("(max-width: 1080px)");
  const contents = document.querySelector("nav details");
  if (narrow.matches) contents.open = false;
  contents.addEventListener("click", (event) => {
    if (event.target.closest("a") && narrow.matches) contents.open = false;
  });
  // On a phone the answer comes first, and the rest opens as it is asked for.
  const folds = [...document.querySelectorAll(".fold")];
  const aimed = () => {
    const at = location.hash && document.getElementById(location.hash.slice(1));
    const fold = at && at.querySelector(".fold");
    if (fold) { fold.open = true; at.scrollIntoView(); }
  };
  if (matchMedia("(max-width: 720px)").matches) for (const one of folds) one.open = false;
  addEventListener("hashchange", aimed);
  aimed();
  let folded = [];
  addEventListener("beforeprint", () => {
    folded = [...document.querySelectorAll("main details:not([open])")];
    for (const one of folded) one.open = true;
  });
  addEventListener("afterprint", () => { for (const one of folded) one.open = false; });
})();
