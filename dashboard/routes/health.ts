import { Router } from "express";

/** `/health`: whether the server answers; looks at nothing else, so that it is quick and always true. */
export function healthRoutes(): Router {
  const router = Router();
  router.get("/health", (_request, response) => {
    response.json({ status: "up" });
  });
  return router;
}
