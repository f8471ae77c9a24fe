// Draws the description of the API; the program that does so comes with the site.
const place = document.getElementById("reference");

if (place && window.SwaggerUIBundle) {
  window.SwaggerUIBundle({
    domNode: place,
    url: place.dataset.description,
    deepLinking: false,
    docExpansion: "list",
    defaultModelsExpandDepth: -1,
    // No badge of another site's checker.
    validatorUrl: null,
    presets: [window.SwaggerUIBundle.presets.apis],
  });
}
