import own from "../hi.json";
import shared from "../shared/hi.json";

export default { ...shared, ...own };
