// Gives each module that stands in this page as a text an address of its own, then starts the page.
(() => {
  const imports = {};
  for (const text of document.querySelectorAll("script[data-module]")) {
    imports[text.dataset.module] = URL.createObjectURL(new Blob([text.textContent], { type: "text/javascript" }));
  }
  const add = (type, content) => {
    const script = document.createElement("script");
    script.type = type;
    script.textContent = content;
    document.head.append(script);
  };
  add("importmap", JSON.stringify({ imports }));
  add("module", document.getElementById("start").textContent);
})();
