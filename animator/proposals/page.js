// A film starts by itself only where nobody minds moving pictures, and only while it is seen.
(() => {
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const films = [...document.querySelectorAll("video")];
  const stopped = new WeakSet();
  let ours = false;
  const quietly = (act) => { ours = true; act(); setTimeout(() => { ours = false; }, 80); };
  const play = (film) => quietly(() => film.play().catch(() => {}));
  const pause = (film) => quietly(() => film.pause());
  const seen = new IntersectionObserver((rows) => {
    for (const row of rows) {
      if (still.matches || stopped.has(row.target)) continue;
      if (row.isIntersecting) play(row.target); else pause(row.target);
    }
  }, { threshold: 0.35 });
  for (const film of films) {
    film.addEventListener("pause", () => { if (!ours) stopped.add(film); });
    film.addEventListener("play", () => { if (!ours) stopped.delete(film); });
    seen.observe(film);
  }
  still.addEventListener("change", () => { if (still.matches) films.forEach(pause); });
})();
