using FluentValidation;

namespace KilnShare.Api.Common;

/// <summary>Runs the validator of a body before its handler, where there is one.</summary>
public static class Validation
{
    /// <summary>Names fields as the JSON does. Called once, before any validator is made.</summary>
    public static void NameFieldsAsJson()
    {
        ValidatorOptions.Global.PropertyNameResolver = (_, member, _) =>
            member is null ? null : System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(member.Name);
        ValidatorOptions.Global.DisplayNameResolver = ValidatorOptions.Global.PropertyNameResolver;
        ValidatorOptions.Global.DefaultRuleLevelCascadeMode = CascadeMode.Stop;
    }

    /// <summary>The filter for a route whose handler takes a body with a validator.</summary>
    public static EndpointFilterDelegate Filter(EndpointFilterFactoryContext context, EndpointFilterDelegate next)
    {
        var services = context.ApplicationServices.GetRequiredService<IServiceProviderIsService>();
        var parameters = context.MethodInfo.GetParameters();
        var index = Array.FindIndex(parameters, p => services.IsService(typeof(IValidator<>).MakeGenericType(p.ParameterType)));
        if (index < 0) return next;
        var validatorType = typeof(IValidator<>).MakeGenericType(parameters[index].ParameterType);
        return async invocation =>
        {
            if (invocation.Arguments[index] is not { } body) return await next(invocation); // a body that may be left out, and was
            var validator = (IValidator)invocation.HttpContext.RequestServices.GetRequiredService(validatorType);
            var result = await validator.ValidateAsync(
                new ValidationContext<object>(body), invocation.HttpContext.RequestAborted);
            return result.IsValid ? await next(invocation) : Problems.Of(result);
        };
    }
}
