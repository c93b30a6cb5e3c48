// A cross on a picture, moved by tap or by arrow keys, and what has been set so far.

const ARM = 14;

export class Cross {
  constructor(canvas, loupe, moved, chosen) {
    Object.assign(this, {canvas, loupe, moved, chosen, live: false, x: 0, y: 0, set: [], pen: canvas.getContext("2d")});
    canvas.addEventListener("click", (event) => this.live && this.tap(event));
    canvas.addEventListener("keydown", (event) => this.live && this.key(event));
  }

  // Takes a new picture; the cross stays where it is.
  show(picture, live) {
    if (this.canvas.width !== picture.width || this.canvas.height !== picture.height) {
      this.canvas.width = picture.width;
      this.canvas.height = picture.height;
      this.move(picture.width / 2, picture.height / 2);
    }
    this.picture = picture;
    this.live = live;
    this.loupe.hidden = !live;
    this.draw();
  }

  tap(event) {
    const box = this.canvas.getBoundingClientRect();
    this.move((event.clientX - box.left) * this.canvas.width / box.width,
      (event.clientY - box.top) * this.canvas.height / box.height);
    this.draw();
    this.moved(this);
  }

  key(event) {
    const by = event.shiftKey ? 10 : 1;
    const way = {ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by]}[event.key];
    if (way) {
      this.move(this.x + way[0], this.y + way[1]);
      this.draw();
      this.moved(this);
    } else if (event.key === "Enter") this.chosen();
    else return;
    event.preventDefault();
  }

  move(x, y) {
    this.x = Math.min(Math.max(Math.round(x), 0), this.canvas.width - 1);
    this.y = Math.min(Math.max(Math.round(y), 0), this.canvas.height - 1);
  }

  draw() {
    this.pen.drawImage(this.picture, 0, 0);
    if (this.set.length > 2) this.line(this.set[1], this.set[2]);
    for (const place of this.set) ring(this.pen, place);
    if (!this.live) return;
    cross(this.pen, this.x, this.y, ARM);
    const {width, height} = this.loupe, reach = width / 8;
    const glass = this.loupe.getContext("2d");
    this.loupe.classList.toggle("aside", this.x > this.canvas.width / 2);
    glass.imageSmoothingEnabled = false;
    glass.fillRect(0, 0, width, height);
    glass.drawImage(this.picture, this.x - reach, this.y - reach, 2 * reach, 2 * reach, 0, 0, width, height);
    cross(glass, width / 2, height / 2, width / 2);
  }

  line(from, to) {
    stroke(this.pen, () => { this.pen.moveTo(from.x, from.y); this.pen.lineTo(to.x, to.y); });
  }

  // A picture while it is followed, with the place that was found.
  follow(place) {
    this.pen.drawImage(this.picture, 0, 0);
    if (place) ring(this.pen, place);
  }
}

function cross(pen, x, y, arm) {
  stroke(pen, () => {
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      pen.moveTo(x + 3 * dx, y + 3 * dy);
      pen.lineTo(x + arm * dx, y + arm * dy);
    }
  });
}

function ring(pen, place) {
  stroke(pen, () => { pen.moveTo(place.x + 9, place.y); pen.arc(place.x, place.y, 9, 0, 2 * Math.PI); });
}

// Black under white: seen on any picture.
function stroke(pen, path) {
  for (const [colour, width] of [["#000", 4], ["#fff", 1.6]]) {
    pen.beginPath();
    path();
    pen.strokeStyle = colour;
    pen.lineWidth = width;
    pen.stroke();
  }
}
