// Remembers units and light on this device, folds and opens, and prints.
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
  if (contents && narrow.matches) contents.open = false;
  contents?.addEventListener("click", (event) => {
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
  addEventListener("click", (event) => { if (event.target.closest?.('a[href^="#"]')) setTimeout(aimed); });
  aimed();
  document.querySelector(".buttons").hidden = false;
  document.getElementById("paper").addEventListener("click", () => print());
  document.getElementById("in-short")?.addEventListener("click", () => {
    document.body.classList.add("short");
    print();
  });
  document.getElementById("everything").addEventListener("click", () => {
    for (const one of document.querySelectorAll("main details")) one.open = true;
  });
  // What is folded but belongs on paper is opened for it, where the browser cannot do so by style.
  let folded = [];
  addEventListener("beforeprint", () => {
    folded = [...document.querySelectorAll(".fold:not([open]), .paper:not([open])")];
    for (const one of folded) one.open = true;
  });
  addEventListener("afterprint", () => {
    for (const one of folded) one.open = false;
    document.body.classList.remove("short");
  });
})();
