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

  /* Called before a page is saved: its photos go onto the phone first, and from there piece by piece. */
  kept.takePhotos = async (form, page, number, round) => {
    const chosen = form.querySelector("input[type=file][name=photo]");
    if (!chosen || !chosen.files.length) return;
    const section = chosen.closest("[data-place]"), caption = form.elements.caption?.value || "";
    for (const file of chosen.files) {
      await kept.put("photos", { case: number, round, page, place: section.dataset.place, path: form.elements.photo_path?.value || "",
        caption, name: file.name, blob: await smaller(file), at: "", state: "waiting" });
    }
    chosen.value = "";
    if (form.elements.caption) form.elements.caption.value = "";
  };

  document.querySelector("input[type=file][name=photo]")?.setAttribute("multiple", "");
})();
