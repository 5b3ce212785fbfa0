// Shows one still at a time. Holds no number and no formula, and moves nothing by itself.
for (const box of document.querySelectorAll(".stills")) {
  const stills = [...box.querySelectorAll("figure")];
  const slide = document.createElement("div");
  const label = document.createElement("label");
  const slider = document.createElement("input");
  const told = document.createElement("p");
  const show = () => {
    const at = Number(slider.value);
    stills.forEach((still, i) => still.classList.toggle("off", i !== at));
    told.textContent = stills[at].querySelector("figcaption").textContent;
  };
  slide.className = "slide";
  label.textContent = box.dataset.label;
  label.append(slider);
  slider.type = "range";
  slider.max = box.dataset.last;
  slider.value = 0;
  told.setAttribute("aria-live", "polite");
  slide.append(label, told);
  slider.addEventListener("input", show);
  box.prepend(slide);
  box.classList.add("live");
  show();
}
