// The one global object of the site's scripts. Each part adds its own members to the interface Benchlore.
interface Window {
  benchlore?: Benchlore;
}
