// Tells the shop once that a person opened the page: somebody scrolls, touches, clicks or types.
{
  const { to, mark } = document.currentScript.dataset;
  const SIGNS = ["scroll", "pointerdown", "keydown"];
  const tell = () => {
    for (const sign of SIGNS) removeEventListener(sign, tell);
    navigator.sendBeacon(to, new URLSearchParams({ mark }));
  };
  for (const sign of SIGNS) addEventListener(sign, tell, { passive: true });
}
