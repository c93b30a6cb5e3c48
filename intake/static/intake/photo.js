/* Photos are made small on the phone where it can read them, and wait there until they are sent. */
"use strict";

(() => {
  const LONGEST = 2000, SMALL_ENOUGH = 900 * 1024;

  const drawn = (picture) => {
    const share = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * share));
    canvas.height = Math.max(1, Math.round(picture.height * share));
    const pen = canvas.getContext("2d");
    pen.fillStyle = "white";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.86));
  };

  /* A browser that cannot read the file, or a phone that is short of memory, sends the original. */
  const smaller = async (file) => {
    if (file.size <= SMALL_ENOUGH || file.type === "image/gif") return file;
    try {
      const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
      const blob = await drawn(picture);
      picture.close();
      return blob && blob.size < file.size ? blob : file;
    } catch (error) {
      return file;
    }
  };

  /* What a file is known by: a phone may give it another date each time that it is picked. */
  const markOf = async (file) => (self.isSecureContext
    ? String(new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer())))
    : `${file.name} ${file.size} ${file.lastModified}`);

  const isHere = async ({ case: number, place, path, mark }) => (await kept.all("photos", number)).some((photo) =>
    photo.mark === mark && photo.place === place && photo.path === path && photo.state !== "refused");

  /* Picked a second time, such as after a full phone: it is on this phone already, and is not sent twice. */
  const keep = async (file, where) => {
    const photo = { ...where, name: file.name, mark: await markOf(file), at: "", state: "waiting" };
    if (!(await isHere(photo))) await kept.put("photos", { ...photo, blob: await smaller(file) });
  };

  const pick = (chosen, files) => {
    const picked = new DataTransfer();
    for (const file of files) picked.items.add(file);
    chosen.files = picked.files;
  };

  /* Says which are kept and which are still picked, since there was no room for them. */
  const say = (chosen, here, left) => {
    const words = JSON.parse(document.getElementById("kept-words").textContent);
    const names = (files) => files.map((file) => file.name).join(", "), said = [];
    if (here.length) said.push(words.photos_kept.replace("{names}", names(here)));
    said.push(words.photos_left.replace("{names}", names(left)));
    const note = Object.assign(document.createElement("p"), { className: "fault photos-left", textContent: said.join(" ") });
    note.setAttribute("role", "alert");
    chosen.after(note);
  };

  /* Called before a page is saved: its photos go onto the phone first, and from there piece by piece.  Those that find no
     room there stay picked and go along with the page; says how many they are. */
  kept.takePhotos = async (form, page, number, round) => {
    const chosen = form.querySelector("input[type=file][name=photo]");
    form.querySelector(".photos-left")?.remove();
    if (!chosen || !chosen.files.length) return 0;
    const photo = { case: number, round, page, place: chosen.closest("[data-place]").dataset.place,
      path: form.elements.photo_path?.value || "", caption: form.elements.caption?.value || "" };
    const here = [], left = [];
    for (const file of chosen.files) await keep(file, photo).then(() => here.push(file), () => left.push(file));
    pick(chosen, left);
    if (left.length) say(chosen, here, left);
    else if (form.elements.caption) form.elements.caption.value = "";
    return left.length;
  };

  document.querySelector("input[type=file][name=photo]")?.setAttribute("multiple", "");
})();
