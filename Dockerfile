# Service and simulator in one image: `serve` watches real instruments, `simulate` is a machine to practise on.
FROM mcr.microsoft.com/dotnet/sdk:10.0 AS build
RUN apt-get update && apt-get install -y --no-install-recommends nodejs npm && rm -rf /var/lib/apt/lists/*
WORKDIR /source
COPY . .
RUN dotnet publish src/ThermoWatch.Service -c Release -o /app

FROM mcr.microsoft.com/dotnet/aspnet:10.0
WORKDIR /app
COPY --from=build /app .
USER $APP_UID
EXPOSE 5170
VOLUME /data
ENTRYPOINT ["dotnet", "thermowatch.dll"]
CMD ["serve", "--config", "/config/thermowatch.json", "--data", "/data"]
