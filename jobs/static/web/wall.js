// The wall asks for itself once a minute, and says since when there has been no signal. It runs on old tablets.
"use strict";
(function () {
  var EVERY_MS = 60000, last = new Date();

  function two(n) { return n < 10 ? "0" + n : String(n); }

  function old() {
    var wall = document.getElementById("wall"), line = document.querySelector(".wold");
    if (!line) {
      line = document.createElement("p");
      line.className = "wold";
      line.setAttribute("role", "status");
      wall.appendChild(line);
    }
    line.textContent = wall.getAttribute("data-old").replace("{at}", last.getHours() + ":" + two(last.getMinutes()));
  }

  function ask() {
    var request = new XMLHttpRequest();
    request.open("GET", location.pathname);
    request.responseType = "document";
    request.timeout = 20000;
    request.onload = function () {
      var fresh = request.response && request.response.getElementById("wall");
      if (!fresh || request.status >= 500 || request.status === 429) { old(); return; }
      last = new Date();
      var wall = document.getElementById("wall");
      wall.parentNode.replaceChild(document.importNode(fresh, true), wall);
    };
    request.onerror = request.ontimeout = old;
    request.send();
  }

  setInterval(ask, EVERY_MS);
})();
