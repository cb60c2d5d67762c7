// The site sheet: the vault with its player, and drawings made larger by a touch.
import { Panel } from "timbrel/vault";

const model = JSON.parse(document.getElementById("model").textContent);
const panel = new Panel(document.querySelector("[data-vault]"));
panel.show(model);

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-larger]");
  if (!button) return;
  const image = button.closest("figure").querySelector("img");
  const now = Number(image.dataset.size || 1);
  const next = button.dataset.larger === "1" ? Math.min(now * 2, 8) : Math.max(now / 2, 1);
  image.dataset.size = String(next);
  image.style.width = `${next * 100}%`;
});
